"""Whatever comes from the air or the wire: nothing raises, everything is bounded, no text acts on a terminal."""

from __future__ import annotations

import json
from pathlib import Path

from hypothesis import example, given
from hypothesis import strategies as st

from fieldtui.feeds.kiss import MOST_BYTES, KissFrame, KissFrames, write_kiss
from fieldtui.feeds.packet_frames import PacketFrames
from fieldtui.feeds.readings import PacketReading
from fieldtui.radio.packets.ax25 import Address, Frame, read_frame
from fieldtui.radio.packets.outside import MOST_CHARACTERS
from fieldtui.radio.packets.reading import read_packet, read_report
from fieldtui.radio.packets.values import Report
from tests.support.memory import held_bytes

DATA = Path(__file__).parents[1] / "data"
KNOWN = [
    bytes.fromhex(json.loads(line)["info_hex"])
    for line in (DATA / "aprs.jsonl").read_text("utf-8").splitlines()
]
MIC_E = [json.loads(line)["dest"] for line in (DATA / "aprs.jsonl").read_text("utf-8").splitlines()]


@st.composite
def damaged(draw: st.DrawFn) -> bytes:
    """A known report with some bytes changed, cut and repeated."""
    data = bytearray(draw(st.sampled_from(KNOWN)))
    for _ in range(draw(st.integers(0, 4))):
        if data:
            data[draw(st.integers(0, len(data) - 1))] = draw(st.integers(0, 255))
    return bytes(data[: draw(st.integers(0, len(data)))] + draw(st.binary(max_size=40)))[:256]


def is_safe(text: str | None) -> bool:
    return text is None or (text.isprintable() and len(text) <= MOST_CHARACTERS)


def check(report: Report) -> None:
    for text in (report.text, report.prefix, report.name, report.status, report.locator, report.device):
        assert is_safe(text), text
    if report.message:
        assert is_safe(report.message.to)
        assert is_safe(report.message.number)
    if report.place:
        assert -90 <= report.place.lat_deg <= 90
        assert -180 <= report.place.lon_deg <= 180
        assert is_safe(report.place.symbol)
    assert report.course_deg is None or 0 < report.course_deg <= 360
    assert report.speed_m_s is None or report.speed_m_s >= 0


@given(st.sampled_from([*MIC_E, "APRS", ""]), damaged() | st.binary(max_size=256))
def test_reports(destination: str, information: bytes):
    check(read_report(destination, information))


@given(st.binary(max_size=400))
@example(b"")
def test_frames(data: bytes):
    frame = read_frame(data)
    if isinstance(frame, Frame):
        packet = read_packet(frame)
        check(packet.report)
        assert is_safe(frame.line)


@given(damaged())
def test_packets_within_packets(information: bytes):
    packet = read_packet(
        Frame(Address("APRS"), Address("N0CALL"), information=b"}N1AA>APRS,TCPIP*:" + information[:230])
    )
    check(packet.report)


@given(
    st.lists(
        st.binary(max_size=80) | st.sampled_from([b"\xc0", b"\xdb", b"\xc0\x00", b"\xdb\xdc"]), max_size=30
    )
)
def test_streams(pieces: list[bytes]):
    """In pieces or at once, the same frames."""
    one, parser = KissFrames(), KissFrames()
    split = [item for piece in pieces for item in parser.feed(piece)]
    assert split == one.feed(b"".join(pieces))
    assert held_bytes(parser) < held_bytes(KissFrames()) + 2 * MOST_BYTES


@given(st.integers(1, 20_000), st.binary(min_size=1, max_size=3))
def test_a_line_without_ends_fills_no_memory(times: int, piece: bytes):
    parser = PacketFrames()
    for item in parser.feed(b"\xc0" + piece * times):
        assert isinstance(item, PacketReading) or len(getattr(item, "raw", b"")) <= MOST_BYTES
    assert held_bytes(parser) < held_bytes(PacketFrames()) + 2 * MOST_BYTES


@given(st.binary(max_size=400), st.integers(0, 15))
def test_what_is_framed_comes_back(data: bytes, port: int):
    (frame,) = KissFrames().feed(write_kiss(data, port))
    # Port 15 with command 15 would be "leave KISS"; data never is.
    assert frame == KissFrame(port, 0, data)
