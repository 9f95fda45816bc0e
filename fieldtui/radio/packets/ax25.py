"""AX.25 frames as a modem hands them over: without flags and without check sequence.

Source: AX.25 Link Access Protocol, version 2.2, section 3 (frame structure, address field encoding);
eight digipeaters, as APRS keeps them, from the older version 2.0.
"""

from __future__ import annotations

import re
from functools import lru_cache

from msgspec import Struct

from fieldtui.radio.packets.outside import shown

ADDRESS_BYTES = 7
MOST_ADDRESSES = 10
"""Destination, source, and at most eight digipeaters."""
MOST_INFORMATION_BYTES = 256
"""N1 of the standard; a longer field is two frames that ran into one another."""
MOST_FRAME_BYTES = MOST_ADDRESSES * ADDRESS_BYTES + 2 + MOST_INFORMATION_BYTES

UI = 0x03
POLL_FINAL = 0x10
NO_LAYER_3 = 0xF0

_CALL = re.compile(rb"[A-Z0-9]{1,6} *")
_ADDRESS = re.compile(r"([A-Z0-9]{1,6})(?:-([0-9]|1[0-5]))?")

FAULTS = {
    "short": "a frame too short to be one was passed over",
    "too_many_addresses": "a frame with more than eight digipeaters was passed over",
    "bad_address": "a frame with a damaged address was passed over",
    "overlong": "a frame longer than any was passed over",
}
"""Why bytes are no frame, in words for people."""


class FrameFault(Struct, frozen=True):
    """Bytes that are no AX.25 frame: one of the codes of `FAULTS`."""

    code: str


class Address(Struct, frozen=True):
    """A call of at most six letters and digits, with its SSID, 0 to 15.

    `flag` is the top bit of the last octet: for a digipeater "has been repeated", else the command bit.
    """

    call: str
    ssid: int = 0
    flag: bool = False

    @property
    def text(self) -> str:
        """`N0CALL-9`; an SSID of 0 is not written."""
        return f"{self.call}-{self.ssid}" if self.ssid else self.call

    @property
    def step(self) -> str:
        """The address within a path: with `*` once it has repeated the frame."""
        return f"{self.text}*" if self.flag else self.text


class Frame(Struct, frozen=True):
    """One frame. `pid` is None in frames that have none; `information` may be empty, and is outside text."""

    destination: Address
    source: Address
    path: tuple[Address, ...] = ()
    control: int = UI
    pid: int | None = NO_LAYER_3
    information: bytes = b""

    @property
    def is_ui(self) -> bool:
        """Unnumbered information, with or without the poll bit."""
        return self.control & ~POLL_FINAL == UI

    @property
    def carries_report(self) -> bool:
        """Whether it is of the kind that APRS uses: UI, without layer 3."""
        return self.is_ui and self.pid == NO_LAYER_3

    @property
    def is_command(self) -> bool:
        """Command bits of version 2; APRS pays no heed to them."""
        return self.destination.flag and not self.source.flag

    @property
    def line(self) -> str:
        """`SOURCE>DESTINATION,PATH:information`, safe to show."""
        head = ",".join([self.destination.text, *(step.step for step in self.path)])
        return f"{self.source.text}>{head}:{shown(self.information)}"


def read_frame(data: bytes) -> Frame | FrameFault:
    """Read one frame from bytes of any content and length; never raises."""
    if len(data) > MOST_FRAME_BYTES:
        return FrameFault("overlong")
    addresses = _read_addresses(data)
    if isinstance(addresses, FrameFault):
        return addresses
    destination, source, *path = addresses
    rest = data[len(addresses) * ADDRESS_BYTES :]
    if not rest:
        return FrameFault("short")
    control = rest[0]
    if not (control & ~POLL_FINAL == UI or control & 1 == 0):
        # Supervisory and other unnumbered frames: no PID, and at most some bytes that mean nothing here.
        return Frame(destination, source, tuple(path), control, None, rest[1:][:MOST_INFORMATION_BYTES])
    if len(rest) < 2:
        return FrameFault("short")
    information = rest[2:]
    if len(information) > MOST_INFORMATION_BYTES:
        return FrameFault("overlong")
    return Frame(destination, source, tuple(path), control, rest[1], information)


def read_address(text: str) -> Address | None:
    """Read `CALL` or `CALL-SSID` as typed or as relayed, upper case; None if it is none."""
    found = _ADDRESS.fullmatch(text.removesuffix("*"))
    return Address(found[1], int(found[2] or 0), text.endswith("*")) if found else None


def write_frame(frame: Frame) -> bytes:
    """Return the bytes of a UI frame of ours; ValueError when the standard has no room for it."""
    addresses = (frame.destination, frame.source, *frame.path)
    if len(addresses) > MOST_ADDRESSES:
        raise ValueError("a path has at most eight digipeaters")
    if len(frame.information) > MOST_INFORMATION_BYTES:
        raise ValueError(f"a packet carries at most {MOST_INFORMATION_BYTES} bytes")
    if not frame.carries_report:
        raise ValueError("only UI frames without layer 3 are made here")
    packed = b"".join(_pack(each, last=each is addresses[-1]) for each in addresses)
    return packed + bytes([frame.control, NO_LAYER_3]) + frame.information


def _read_addresses(data: bytes) -> list[Address] | FrameFault:
    addresses: list[Address] = []
    for start in range(0, MOST_ADDRESSES * ADDRESS_BYTES, ADDRESS_BYTES):
        octets = data[start : start + ADDRESS_BYTES]
        if len(octets) < ADDRESS_BYTES:
            return FrameFault("short")
        address = _unpack(octets)
        if address is None:
            return FrameFault("bad_address")
        addresses.append(address)
        if octets[6] & 1:
            return addresses if len(addresses) >= 2 else FrameFault("bad_address")
    return FrameFault("too_many_addresses")


@lru_cache(maxsize=256)  # whatever is on the channel comes from a few dozen stations by a few paths
def _unpack(octets: bytes) -> Address | None:
    if any(octet & 1 for octet in octets[:6]):
        return None
    call = bytes(octet >> 1 for octet in octets[:6])
    if _CALL.fullmatch(call) is None:
        return None
    return Address(call.decode("ascii").rstrip(" "), octets[6] >> 1 & 0x0F, bool(octets[6] & 0x80))


def _pack(address: Address, *, last: bool) -> bytes:
    if _ADDRESS.fullmatch(address.text) is None:
        raise ValueError(
            f"{address.text[:20]!a} is not an address: up to six letters and digits, SSID 0 to 15"
        )
    call = bytes(octet << 1 for octet in address.call.encode("ascii").ljust(6))
    # Reserved bits are set, as the standard has them where they are not used.
    return call + bytes([address.flag << 7 | 0x60 | address.ssid << 1 | last])
