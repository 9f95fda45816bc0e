"""Packets of our own: a position, or a message. Pure; what decides whether one may leave is elsewhere.

Source: APRS Protocol Reference 1.0.1, chapters 4 (destinations), 6 and 8 (positions), 14 (messages).
"""

from __future__ import annotations

import math
import re

from msgspec import Struct

from fieldtui.radio.callsign import read_call
from fieldtui.radio.outside_text import RefusedError
from fieldtui.radio.packets.ax25 import Address, Frame, read_address
from fieldtui.radio.packets.values import FOOT_METRES

DESTINATION = "APZFUI"
"""APZ is for experiments: no word of its own was given to this program."""
SYMBOL = "/;"
"""A tent: a portable station (chapter 20 and its symbol tables, from memory)."""
MOST_COMMENT = 43
MOST_MESSAGE = 67
MOST_STEPS = 2
"""Of a path of ours: more than two repetitions fill a region's channel (common practice, no source)."""

_COMMENT = re.compile(r"[ -{}]*")
"""Printable ASCII without | and ~, which are kept for telemetry and binary uses (chapter 5)."""
_MESSAGE = re.compile(r"[ -z}]*")
_NUMBER = re.compile(r"[A-Za-z0-9]{1,5}")
_SYMBOL = re.compile(r"[/\\0-9A-Z][!-{}]")
_DESTINATION = re.compile(r"(?:AP|ALL|BEACON|CQ|QST|WX|TEL)[A-Z0-9]{0,4}")


class OwnPackets(Struct, frozen=True):
    """How this station sends, as the station file says; nothing is sent unless `may_send`."""

    may_send: bool = False
    call: str | None = None
    ssid: int = 0
    symbol: str = SYMBOL
    comment: str = ""
    path: tuple[str, ...] = ()
    destination: str = DESTINATION
    ambiguity: int = 0
    port: int = 0
    hertz: int | None = None


class Order(Struct, frozen=True):
    """One packet to be sent, and what to say of it."""

    kind: str
    """`position` or `message`."""
    frame: Frame
    to: str | None = None
    number: str | None = None


def own_address(call: str | None, ssid: int) -> Address:
    """Return the source address; RefusedError without a call that fits into it and is one."""
    if not call:
        raise RefusedError("no call sign", "state operator.call in the station file")
    core = read_call(call)
    if core.shape == "no" or not (1 <= len(core.core) <= 6 and core.core.isalnum() and "?" not in core.core):
        raise RefusedError(
            f"{call[:20]!a} does not fit into a packet", "a call of at most six letters and digits"
        )
    if not 0 <= ssid <= 15:
        raise RefusedError(f"an SSID of {ssid}", "0 to 15")
    return Address(core.core, ssid)


def read_path(text: str) -> tuple[str, ...]:
    """Read `WIDE1-1,WIDE2-1`, or nothing; RefusedError for what is not a path, or a long one."""
    steps = tuple(part.strip().upper() for part in text.split(",") if part.strip())
    if any(read_address(step) is None or "*" in step for step in steps):
        raise RefusedError("no path", "one such as WIDE1-1,WIDE2-1, or an empty one from a hilltop")
    if len(steps) > MOST_STEPS:
        raise RefusedError(f"{len(steps)} steps", f"at most {MOST_STEPS}: from a hilltop none or one")
    return steps


def read_symbol(text: str) -> str:
    """Take a symbol: table (or overlay) and code; RefusedError for any other text."""
    if _SYMBOL.fullmatch(text) is None:
        raise RefusedError("no symbol", "a table and a code, such as /; for a tent or /> for a car")
    return text


def read_destination(text: str) -> str:
    """Take a destination of the groups that APRS listens to."""
    if len(text) > 6 or _DESTINATION.fullmatch(text) is None:
        raise RefusedError("no destination", f"one such as {DESTINATION} or APRS")
    return text


def position_order(
    own: OwnPackets, lat_deg: float, lon_deg: float, *, height_m: float | None = None
) -> Order:
    """Return the packet that reports a place; RefusedError if there is something in it that cannot be sent."""
    altitude = ""
    if height_m is not None and 0 <= height_m < 999_999 * FOOT_METRES:
        altitude = f"/A={round(height_m / FOOT_METRES):06d}"
    text = f"={position_text(lat_deg, lon_deg, own.symbol, own.ambiguity)}{_comment(own.comment, altitude)}"
    return Order("position", _frame(own, text))


def message_order(own: OwnPackets, to: str, text: str, number: str | None = None) -> Order:
    """Return the packet that carries a message; with a `number` the other station is asked to acknowledge."""
    address = read_address(to.strip().upper())
    if address is None:
        raise RefusedError("no addressee", "a call with its SSID, such as KD7QSV-9")
    if not text.strip() or len(text) > MOST_MESSAGE or _MESSAGE.fullmatch(text) is None:
        accepted = f"1 to {MOST_MESSAGE} plain characters without {{ | ~"
        raise RefusedError("this text cannot be sent", accepted)
    if number is not None and _NUMBER.fullmatch(number) is None:
        raise RefusedError("no message number", "1 to 5 letters or digits")
    asked = f"{{{number}" if number else ""
    return Order("message", _frame(own, f":{address.text:9}:{text}{asked}"), address.text, number)


def position_text(lat_deg: float, lon_deg: float, symbol: str, ambiguity: int = 0) -> str:
    """Return the nineteen characters of a plain position; `ambiguity` digits, 0 to 4, are held back."""
    if not (-90 <= lat_deg <= 90 and -180 <= lon_deg <= 180) or not 0 <= ambiguity <= 4:
        raise RefusedError("no place", "degrees on the globe, and an ambiguity of 0 to 4")
    lat = _minutes(lat_deg, 2, ambiguity) + ("S" if lat_deg < 0 else "N")
    lon = _minutes(lon_deg, 3, ambiguity) + ("W" if lon_deg < 0 else "E")
    return f"{lat}{read_symbol(symbol)[0]}{lon}{symbol[1]}"


def _minutes(degrees: float, digits: int, ambiguity: int) -> str:
    """Degrees and hundredths of minutes. What is held back is cut: the place stays within the box that is told."""
    total = abs(degrees) * 6000
    whole, rest = divmod(math.floor(total) if ambiguity else round(total), 6000)
    figures = f"{rest:04d}"[: 4 - ambiguity].ljust(4)
    return f"{whole:0{digits}d}{figures[:2]}.{figures[2:]}"


def _comment(comment: str, altitude: str) -> str:
    if _COMMENT.fullmatch(comment) is None:
        raise RefusedError("this comment cannot be sent", "plain letters, digits and signs without | and ~")
    if len(comment) + len(altitude) > MOST_COMMENT:
        raise RefusedError("the comment is too long", f"at most {MOST_COMMENT - len(altitude)} characters")
    return altitude + comment


def _frame(own: OwnPackets, text: str) -> Frame:
    steps = [address for step in own.path if (address := read_address(step)) is not None]
    # A command: so version 2 of the protocol has it; APRS pays no heed.
    destination = Address(read_destination(own.destination), 0, flag=True)
    return Frame(destination, own_address(own.call, own.ssid), tuple(steps), information=text.encode("ascii"))
