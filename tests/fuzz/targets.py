"""One target for each parser of bytes from outside: it may refuse, it may not raise, grow or let a text act.

A target takes any bytes. What it finds wrong it says with an AssertionError, or with whatever the parser raised.
"""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import msgspec

from fieldtui.browser.access import Role
from fieldtui.browser.addresses import host_allowed, same_origin
from fieldtui.browser.server import BrowserServer
from fieldtui.entry.asjson import to_json
from fieldtui.entry.grammar import parse_line
from fieldtui.entry.readback import describe
from fieldtui.feeds.gpsd import GpsdStream
from fieldtui.feeds.label_frames import LabelFrames
from fieldtui.feeds.modbus import ModbusDevice, ModbusPoller
from fieldtui.feeds.nmea import NmeaSentences
from fieldtui.feeds.packet_frames import PacketFrames
from fieldtui.feeds.plain_lines import PlainLines
from fieldtui.feeds.readings import Parser
from fieldtui.journal.tail import Tail
from fieldtui.outputs.cards.addresses import AddressError, read_addresses
from fieldtui.outputs.records.adi_contacts import NotTakenError, read_contact
from fieldtui.outputs.records.adi_reader import AdiReader
from fieldtui.planning.tiles import TileError, TileFolder
from fieldtui.power.registers import Register
from fieldtui.radio.channels.plan import read_plan
from fieldtui.radio.packets.reading import read_report
from fieldtui.session.state import SessionState
from fieldtui.station.reading import read_station

Target = Callable[[bytes], None]

MOST_HELD_BYTES = 128 * 1024
NOW = datetime(2026, 6, 14, 17, tzinfo=UTC)
"""More than any parser of a feed may keep while it waits for an end."""

METER = ModbusDevice({"volts": Register(0, "u16", 0.001), "amps": Register(1, "s16", 0.001)})


def texts_of(told: object) -> Iterator[str]:
    """Every text in what a parser told, however deep."""
    if isinstance(told, str):
        yield told
    elif isinstance(told, dict):
        for key, value in told.items():
            yield from texts_of(key)
            yield from texts_of(value)
    elif isinstance(told, list | tuple | set | frozenset):
        for each in told:
            yield from texts_of(each)
    elif isinstance(told, msgspec.Struct):
        for name in told.__struct_fields__:
            yield from texts_of(getattr(told, name))


def check_inert(told: object) -> None:
    """No text holds a character that moves a cursor, begins an escape sequence or turns the reading order."""
    for text in texts_of(told):
        assert all(character.isprintable() for character in text), repr(text)


def _fed(parser: Parser, data: bytes) -> list[Any]:
    """What a parser makes of bytes that come in pieces; the first byte says how large."""
    size = data[0] % 64 + 1 if data else 1
    told = []
    for start in range(1, len(data), size):
        told += parser.feed(data[start : start + size])
        held = sum(len(value) for value in vars(parser).values() if isinstance(value, bytes | bytearray))
        assert held <= MOST_HELD_BYTES
    check_inert(told)
    parser.reset()
    assert not parser.pending
    return told


def shunt_frames(data: bytes) -> None:
    """Frames of labels and values with a checksum byte."""
    _fed(LabelFrames(), data)


def shunt_lines(data: bytes) -> None:
    """Plain lines of volts and amps."""
    _fed(PlainLines(), data)


def nmea(data: bytes) -> None:
    """Sentences of a position receiver."""
    for told in _fed(NmeaSentences(), data):
        if getattr(told, "lat_deg", None) is not None:
            assert -90 <= told.lat_deg <= 90
            assert -180 <= told.lon_deg <= 180


def gpsd(data: bytes) -> None:
    """The stream of a position service."""
    _fed(GpsdStream(), data)


def modbus(data: bytes) -> None:
    """Answers of a battery meter, each to a question."""
    poller = ModbusPoller(METER)
    poller.to_send(0.0)
    poller.to_send(3.0)
    told = poller.feed(data)
    poller.to_send(100.0)
    poller.to_send(103.0)
    check_inert(told + poller.feed(data[::-1]))


def packets(data: bytes) -> None:
    """Frames of a packet modem, and the report inside them."""
    _fed(PacketFrames(), data)
    check_inert(read_report("APRS", data[:256]))
    check_inert(read_report(data[:6].decode("latin-1").upper(), data[6:262]))


def journal(data: bytes) -> None:
    """A journal from anywhere, read and folded."""
    tail = Tail()
    state = SessionState()
    read = 0
    for envelopes in tail.read(lambda count, offset: data[offset : offset + count]):
        read += len(envelopes)
        state.apply_all(envelopes)
    assert read <= tail.chain.lines == data.count(b"\n")
    assert tail.offset + len(tail.unfinished) == len(data)


def entry(data: bytes) -> None:
    """A typed or pasted line: read back in print, and told as JSON."""
    line = parse_line(data.decode("utf-8", "surrogateescape"))
    check_inert(list(describe(line)))
    msgspec.json.encode(to_json(line))


def channels(data: bytes) -> None:
    """A frequency plan, as TOML and as a table."""
    for name in ("plan.toml", "plan.csv"):
        plan = read_plan(data, name)
        check_inert([plan.channels, [problem.text for problem in plan.problems]])


def station(data: bytes) -> None:
    """The station file."""
    found, problems = read_station(data, "station.toml")
    check_inert([found, [problem.text for problem in problems]])


def adi(data: bytes) -> None:
    """A record file of another program, in two pieces."""
    reader = AdiReader()
    half = len(data) // 2
    for piece in (data[:half], data[half:], b""):
        for record in reader.feed(piece) if piece else reader.close():
            try:
                told = read_contact(record.fields, NOW)
            except NotTakenError as error:
                check_inert(str(error))
            else:
                check_inert(told)


def tiles(data: bytes) -> None:
    """Elevation tiles, bare and in an archive."""
    with tempfile.TemporaryDirectory(dir=_quick_folder()) as folder:
        for name in ("N44W122.hgt", "N45W122.hgt.zip"):
            (Path(folder) / name).write_bytes(data)
        ground = TileFolder(Path(folder))
        for lat_deg in (44.5, 45.5):
            try:
                height = ground.height_m(lat_deg, -121.5)
            except TileError as error:
                check_inert(str(error))
            else:
                assert height is None or -32768 <= height <= 32767


def addresses(data: bytes) -> None:
    """The file of postal addresses."""
    with tempfile.TemporaryDirectory(dir=_quick_folder()) as folder:
        path = Path(folder) / "addresses.json"
        path.write_bytes(data)
        try:
            found = read_addresses(path)
        except AddressError as error:
            check_inert(str(error))
        else:
            check_inert(list(found.values()))


def browser(data: bytes) -> None:
    """What a page sends over its socket, as one who only looks, and the headers that say where it comes from."""
    text = data.decode("utf-8", "replace")
    sent: list[bytes] = []
    sizes: list[tuple[int, int]] = []
    program = SimpleNamespace(send=sent.append, resize=lambda *size: sizes.append(size))
    seat: Any = SimpleNamespace(wish=SimpleNamespace(role=Role.VIEW), program=program)
    allowed = frozenset({"\x1b[A", "\x1b"})
    server: Any = SimpleNamespace(_viewer_keys=allowed, _still_in=lambda _: True)
    BrowserServer._take(server, seat, text)  # noqa: SLF001  (the public way is a socket: too slow to fuzz)
    assert {keys.decode() for keys in sent} <= allowed
    assert all(20 <= columns <= 400 and 5 <= rows <= 200 for columns, rows in sizes)
    host_allowed(text, ["hill.local"])
    same_origin(text, "hill.local:8088")


def _quick_folder() -> str | None:
    return "/dev/shm" if Path("/dev/shm").is_dir() else None


TARGETS: dict[str, Target] = {
    each.__name__: each
    for each in (
        shunt_frames, shunt_lines, nmea, gpsd, modbus, packets, journal, entry, channels, station, adi, tiles,
        addresses, browser,
    )
}  # fmt: skip
