"""From the bytes of a modem to the map: an hour on a busy channel, floods, garbage, and what the shell prints."""

from __future__ import annotations

import json
import os
import random
import socket
import subprocess
import sys
import threading
import time
import tty
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

import pytest

from fieldtui.feeds.clock import boot_seconds
from fieldtui.feeds.kiss import KissFrame, KissFrames
from fieldtui.feeds.packet_frames import MOST_FAULTS, PacketFrames
from fieldtui.feeds.packet_sending import LEAST_SECONDS, NotSentError
from fieldtui.feeds.readings import PacketFault, PacketReading
from fieldtui.feeds.states import FeedCondition
from fieldtui.journal.event_types import Event
from fieldtui.journal.keeper import Keeper
from fieldtui.journal.packet_events import PacketDamaged, PacketHeard, PacketsLeftOut
from fieldtui.journal.stamp import SystemClock
from fieldtui.live.packets import PacketFeed
from fieldtui.live.ports import PacketPort
from fieldtui.radio.packets.ax25 import Frame, read_frame
from fieldtui.radio.packets.outgoing import OwnPackets, position_order
from fieldtui.session.recording.packets import MOST_DAMAGED, MOST_HEARD, MOST_RAW_BYTES, PacketRecorder
from tests.packets.making import at, frame_bytes, kiss
from tests.support.journals import folded, of_kind

PATIENCE_SECONDS = 60.0
HOUR_FRAMES = 1200
FASTER = 600.0
SENDING = OwnPackets(may_send=True, call="W7QRV", ssid=7)


def modem_at(url: str, own: OwnPackets = SENDING) -> PacketPort:
    return PacketPort(url, 9600, lambda: own)


def until_open(feed: PacketFeed) -> None:
    """The port is open: what is written before that is thrown away, as on a real line."""
    until(
        lambda: feed.state.condition in (FeedCondition.LISTENING, FeedCondition.READING),
        "the port was not opened",
    )


@contextmanager
def line() -> Iterator[tuple[int, str]]:
    """A pseudo-terminal: the modem's end, and the name of ours."""
    master, slave = os.openpty()
    tty.setraw(slave)
    try:
        yield master, os.ttyname(slave)
    finally:
        os.close(slave)
        os.close(master)


@contextmanager
def keeping(journal: Path) -> Iterator[Keeper]:
    keeper = Keeper(journal, SystemClock(), on_batch=lambda _: None, on_trouble=lambda _: None)
    keeper.start()
    try:
        yield keeper
    finally:
        keeper.stop()


def until(holds: object, what: str) -> None:
    end = time.monotonic() + PATIENCE_SECONDS
    while not holds():  # type: ignore[operator]
        assert time.monotonic() < end, what
        time.sleep(0.02)


def hour(seed: int) -> tuple[bytes, int, int, dict[str, tuple[float, float]]]:
    """A stream, how many frames of it are whole and how many are not, and where each station was last."""
    dice = random.Random(seed)
    stream, good, bad, places = bytearray(b"\xc0"), 0, 0, {}
    for number in range(HOUR_FRAMES):
        call = f"W{number % 10}QR{'TSVW'[number % 4]}-{number % 12 + 1}"
        lat, lon = dice.uniform(43, 46), dice.uniform(-123, -119)
        information = dice.choice([
            at(lat, lon, "/>", "088/036/A=003000" + "x" * dice.randrange(40)),
            b">status " + bytes(dice.randrange(256) for _ in range(dice.randrange(60))),
            b":W7QRV    :message %d{%d" % (number, number), b"T#005,199,000,255,073,123,01101001",
            bytes(dice.randrange(256) for _ in range(dice.randrange(1, 256))),
        ])  # fmt: skip
        whole = kiss(call, information, dice.choice(["", "WIDE1-1*", "W7QRH-2*,WIDE2-1"]))
        if dice.random() >= 0.05:
            stream += whole
            good += 1
            if information.startswith(b"!44") or information[:3] in (b"!43", b"!45"):
                places[call] = (lat, lon)
            continue
        bad += 1
        damage = dice.randrange(3)
        if damage == 0:  # cut off in the addresses
            stream += whole[: dice.randrange(3, 15)] + b"\xc0"
        elif damage == 1:  # a bit of an address
            stream += whole[:4] + bytes([whole[4] ^ 1]) + whole[5:]
        else:  # an escape that is none
            stream += whole[:-1] + b"\xdb\x00\xc0"
    return bytes(stream), good, bad, places


def test_an_hour_on_a_busy_channel_with_a_twentieth_damaged(tmp_path: Path):
    """Nothing stops it, every frame is counted, everybody stands where they last said they were."""
    stream, good, bad, places = hour(seed=8)
    assert bad > 40
    began = boot_seconds()
    with line() as (master, name), keeping(tmp_path / "j.jsonl") as keeper:
        modem = modem_at(name)
        feed = PacketFeed(modem, keeper, clock=lambda: began + (boot_seconds() - began) * FASTER)
        feed.start()
        until_open(feed)
        writer = threading.Thread(target=_write_all, args=(master, stream))
        writer.start()
        try:
            writer.join(PATIENCE_SECONDS)
            assert not writer.is_alive()
            kept: tuple[type[Event], ...] = (PacketHeard, PacketDamaged, PacketsLeftOut)
            recorder = feed._recorder  # noqa: SLF001  (what it counted and did not tell yet shows nowhere else)
            until(
                lambda: (
                    _counted(tmp_path / "j.jsonl", kept) + recorder._left_damaged  # noqa: SLF001  (as above)
                    >= good + bad
                ),
                "not every frame came",
            )
        finally:
            feed.stop()
    packets = folded(tmp_path / "j.jsonl").packets
    assert (packets.good, packets.bad) == (good, bad)
    told = {station.name: station.place for station in packets.newest() if station.place}
    assert set(told) >= set(places)
    for name, (lat, lon) in places.items():
        assert (told[name].lat_deg, told[name].lon_deg) == pytest.approx((lat, lon), abs=1e-4), name


def _write_all(master: int, data: bytes) -> None:
    while data:
        data = data[os.write(master, data[:512]) :]


def _counted(journal: Path, kinds: Sequence[type[Event]]) -> int:
    if not journal.exists():
        return 0
    return sum(
        event.heard + event.damaged if isinstance(event, PacketsLeftOut) else 1
        for kind in kinds
        for event in of_kind(journal, kind)
    )


def test_with_the_switch_off_the_port_is_lent_to_nobody(tmp_path: Path):
    """Whatever comes in, and whatever is asked for, the modem's end hears nothing."""
    with line() as (master, name), keeping(tmp_path / "j.jsonl") as keeper:
        feed = PacketFeed(modem_at(name, OwnPackets(call="W7QRV")), keeper)
        feed.start()
        asking = kiss("W0QSL", b":W7QRV    :?{1") + kiss("W0QSL", b"?APRS?")
        until(lambda: os.write(master, asking) and _counted(tmp_path / "j.jsonl", [PacketHeard]), "deaf")
        feed.stop()
        os.set_blocking(master, False)
        with pytest.raises(BlockingIOError):
            os.read(master, 1)


def test_garbage_for_a_day_does_not_fill_the_card():
    """At most ten raw frames a minute; the rest is counted, and nothing of it is lost from the count."""
    recorder, events = PacketRecorder("packet"), []
    for number in range(24 * 3600):
        events += recorder.damaged(b"\x00" * 1000, "short", float(number))
    events += recorder.close()
    raw = [event for event in events if isinstance(event, PacketDamaged)]
    assert len(raw) == 24 * 60 * MOST_DAMAGED
    assert max(len(event.raw) for event in raw) == 2 * MOST_RAW_BYTES
    assert len(raw) + sum(e.damaged for e in events if isinstance(e, PacketsLeftOut)) == 24 * 3600


def test_a_flood_of_whole_frames_is_counted_and_not_all_kept():
    recorder, frame = PacketRecorder("packet"), frame_bytes("W0QSL", b">x")
    events = [event for _ in range(5000) for event in recorder.heard(frame, 0, 1.0)] + recorder.close()
    assert sum(isinstance(event, PacketHeard) for event in events) == MOST_HEARD
    assert events[-1] == PacketsLeftOut(feed="packet", heard=5000 - MOST_HEARD)


def test_a_thousand_damaged_frames_in_one_piece_are_summed():
    items = PacketFrames().feed(b"\xc0" + b"\x00A\xc0" * 1000)
    faults = [item for item in items if isinstance(item, PacketFault)]
    assert sum(fault.count for fault in faults) == 1000
    assert len(faults) == MOST_FAULTS + 1


def test_a_socket_that_hands_over_five_hundred_frames_at_once_loses_none(tmp_path: Path):
    """The rest waits in the line, which holds up the sender and not the program."""
    with socket.create_server(("127.0.0.1", 0)) as server, keeping(tmp_path / "j.jsonl") as keeper:
        url = f"socket://127.0.0.1:{server.getsockname()[1]}"
        feed = PacketFeed(modem_at(url), keeper)
        feed.start()
        connection, _ = server.accept()
        with connection:
            until_open(feed)
            connection.sendall(b"".join(kiss(f"W0QS{'ABCD'[n % 4]}", at(44, -121)) for n in range(500)))
            until(lambda: _bulk(tmp_path / "j.jsonl") == 500, "some were lost")
        feed.stop()
    assert _bulk(tmp_path / "j.jsonl") == 500


def _bulk(journal: Path) -> int:
    """Frames of the calls that were sent in one piece."""
    return sum(station.times for station in folded(journal).packets.newest())


@pytest.mark.parametrize("kind", [["--as", "packet"], []], ids=["told", "recognised"])
def test_watching_prints_the_agreed_keys(kind: list[str]):
    with line() as (master, name):
        stop = threading.Event()

        def send() -> None:
            while not stop.wait(0.2):
                os.write(
                    master,
                    kiss("KD7QSV-9", at(44.5, -121.5, "/>", "088/036/A=003000Test"), "WIDE1-1*,WIDE2-1"),
                )

        sender = threading.Thread(target=send)
        sender.start()
        try:
            command = [
                sys.executable,
                "-m",
                "fieldtui",
                "feeds",
                "watch",
                name,
                *kind,
                "--json",
                "--count",
                "1",
            ]
            done = subprocess.run(command, capture_output=True, text=True, timeout=PATIENCE_SECONDS)
        finally:
            stop.set()
            sender.join()
    assert done.returncode == 0, done.stderr
    told = [json.loads(each) for each in done.stdout.splitlines()]
    (packet,) = [each for each in told if each["kind"] == "packet"]
    assert (packet["from"], packet["to"], packet["path"]) == ("KD7QSV-9", "APRS", ["WIDE1-1*", "WIDE2-1"])
    assert (packet["type"], packet["symbol"], packet["text"], packet["ambiguity"]) == (
        "position",
        "/>",
        "Test",
        0,
    )
    assert (packet["lat_deg"], packet["lon_deg"]) == pytest.approx((44.5, -121.5), abs=1e-6)
    assert (packet["course_deg"], packet["speed_m_s"]) == (88.0, pytest.approx(18.52))
    assert packet["height_m"] == pytest.approx(914.4)


def test_items_come_out_the_same_in_pieces_of_any_size():
    stream = hour(seed=3)[0][:20_000]
    whole = [item for item in PacketFrames().feed(stream) if isinstance(item, PacketReading)]
    parser = PacketFrames()
    pieces = [
        item for byte in stream for item in parser.feed(bytes([byte])) if isinstance(item, PacketReading)
    ]
    assert [item.frame for item in pieces] == [item.frame for item in whole]
    assert len(whole) > 100


def _sends_one(feed: PacketFeed) -> str:
    """Confirm, send, and return the frame as it should arrive."""
    order = position_order(feed.sender.own, 44.4792, -121.5333)
    with pytest.raises(NotSentError, match="not confirmed"):
        feed.sender.send(order)
    feed.sender.confirm()
    feed.sender.send(order)
    return order.frame.line


def _lines(data: bytes) -> list[str]:
    frames = [read_frame(each.data) for each in KissFrames().feed(data) if isinstance(each, KissFrame)]
    return [each.line for each in frames if isinstance(each, Frame)]


def test_a_packet_goes_out_of_the_port_that_is_read(tmp_path: Path):
    """Through the reader of a real line: one frame, while frames go on coming in; none once the modem is gone."""
    journal = tmp_path / "j.jsonl"
    with keeping(journal) as keeper:
        until(journal.exists, "the journal was not made")
        with line() as (master, name):
            ahead = [0.0]
            feed = PacketFeed(modem_at(name), keeper, clock=lambda: boot_seconds() + ahead[0])
            feed.start()
            until(lambda: _written(master, kiss("W0QSL", b">x")) and of_kind(journal, PacketHeard), "deaf")
            expected = _sends_one(feed)
            os.set_blocking(master, False)
            assert _lines(os.read(master, 4096)) == [expected]
        until(lambda: feed.state is not None and feed.state.condition == "lost", "the loss was not seen")
        ahead[0] += LEAST_SECONDS
        with pytest.raises(NotSentError, match="the modem is not there"):
            feed.sender.send(position_order(feed.sender.own, 44.0, -121.0))
        feed.stop()


def _written(master: int, data: bytes) -> bool:
    return os.write(master, data) > 0


def test_a_packet_goes_out_over_the_network(tmp_path: Path):
    with socket.create_server(("127.0.0.1", 0)) as server, keeping(tmp_path / "j.jsonl") as keeper:
        feed = PacketFeed(modem_at(f"socket://127.0.0.1:{server.getsockname()[1]}"), keeper)
        feed.start()
        connection, _ = server.accept()
        with connection:
            until_open(feed)
            expected = _sends_one(feed)
            connection.settimeout(PATIENCE_SECONDS)
            assert _lines(connection.recv(4096)) == [expected]
        feed.stop()
