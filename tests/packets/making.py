"""Frames as they come from the air, and journals with them."""

from __future__ import annotations

from pathlib import Path

from fieldtui.feeds.kiss import write_kiss
from fieldtui.journal.event_types import Event
from fieldtui.journal.packet_events import PacketHeard
from fieldtui.radio.packets.ax25 import Frame, read_address, write_frame
from fieldtui.radio.packets.outgoing import position_text
from fieldtui.session.state import SessionState
from tests.support.hand_clock import HandClock
from tests.support.journals import folded, write_journal
from tests.support.session import OPENING

Step = tuple[float, Event]


def frame_bytes(source: str, information: bytes, path: str = "", destination: str = "APRS") -> bytes:
    """An AX.25 frame; `path` is as written, with `*` behind what has repeated it."""
    addresses = [read_address(part) for part in (destination, source, *filter(None, path.split(",")))]
    first, second, *steps = [address for address in addresses if address]
    return write_frame(Frame(first, second, tuple(steps), information=information))


def kiss(source: str, information: bytes, path: str = "", destination: str = "APRS") -> bytes:
    """The same as a modem hands it over."""
    return write_kiss(frame_bytes(source, information, path, destination))


def heard(source: str, information: bytes, path: str = "", destination: str = "APRS") -> PacketHeard:
    """The same as it stands in the journal."""
    return PacketHeard(feed="packet", frame=frame_bytes(source, information, path, destination).hex())


def at(lat_deg: float, lon_deg: float, symbol: str = "/>", more: str = "") -> bytes:
    """A plain position."""
    return f"!{position_text(lat_deg, lon_deg, symbol)}{more}".encode("latin-1")


def state_of(path: Path, *steps: Step | Event, opening: Event = OPENING) -> SessionState:
    """Fold a journal with these events, a second apart unless told otherwise."""
    clock = HandClock()
    timed = [step if isinstance(step, tuple) else (1.0, step) for step in steps]
    write_journal(path, clock, [(0.0, opening), *timed], clock.move)
    return folded(path)


def busy_channel() -> list[Step]:
    """A quarter of an hour of an invented valley, heard from CN94fl."""
    told = [
        ("KD7QSV-9", at(44.60, -121.30, "/>", "088/036/A=003000to Larkspur Flat"), "WIDE1-1*"),
        ("W7QRT-7", at(44.38, -121.62, "/[", "000/002/A=006200resting"), ""),
        ("W0QSL", at(44.52, -121.52, "/-", "PHG5132home"), ""),
        ("N7QSB-5", at(44.75, -121.95, "/k", "271/022"), "W7QRH-2*,WIDE2-1"),
        ("K7QRH-2", at(44.90, -121.40, "/#", "hilltop digi"), ""),
        ("VE7QRZ", at(45.60, -120.90, "/Y", ""), "W7QRH-2*"),
        ("W7QSR-13", at(44.30, -121.20, "/_", "220/004g005t077r000p000P000h50b09900"), ""),
        ("W0QSL", b";LEADER   *092345z4425.00N/12145.00W>aid point", ""),
        ("W7QRT-7", b":W7QRV    :can you hear me on 52?{12", ""),
        ("KD7QSV-9", b":W7QRV-7  :half an hour late", "WIDE1-1*"),
        ("K7QRH-2", b":BLN3     :net on 146.52 at 1800", ""),
    ]  # fmt: skip
    return [(60.0, heard(*each)) for each in told]
