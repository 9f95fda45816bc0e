"""Positions in plain minutes and in base 91.

Source: APRS Protocol Reference 1.0.1 (APRS Working Group, 29 August 2000), chapters 6, 8 and 9.
"""

from __future__ import annotations

import re

from msgspec import Struct

from fieldtui.radio.packets.values import FOOT_METRES, KNOT_METRES_PER_SECOND, MILE_METRES, Place

PLAIN_BYTES = 19
COMPRESSED_BYTES = 13
OVERLAYS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"

_PLAIN = re.compile(
    r"([0-9]{2})([0-9 ]{2})\.([0-9 ]{2})([NS])([/\\0-9A-Z])"
    r"([0-9]{3})([0-9 ]{2})\.([0-9 ]{2})([EW])([!-~])"
)
_COMPRESSED = re.compile(r"([/\\A-Za-j])([!-{]{4})([!-{]{4})([!-~])([ !-{])([ !-{])([ !-{])")
_HALF_BOX_MINUTES = (0.0, 0.05, 0.5, 5.0, 30.0)
"""By ambiguity: 0.1, 1 and 10 minutes, one degree, halved."""

_FROM_GGA = 0b10
"""Bits 3 and 4 of the compression type: the two bytes before it are an altitude."""


class Read(Struct, frozen=True):
    """What the fixed part said; `place` is None for the position that means "unknown"."""

    place: Place | None
    symbol: str
    taken: int
    """Characters read."""
    compressed: bool = False
    course_deg: float | None = None
    speed_m_s: float | None = None
    height_m: float | None = None
    range_m: float | None = None
    current: bool | None = None


def read_position(text: str) -> Read | None:
    """Read the position at the start of a text of one character a byte; None if there is none."""
    return _read_compressed(text) if text[:1] and not text[0].isdigit() else _read_plain(text)


def base_91(text: str) -> int:
    """Return the number that characters `!` to `{` stand for."""
    number = 0
    for character in text:
        number = number * 91 + ord(character) - 33
    return number


def ambiguous_degrees(degrees: int, minutes: str, hundredths: str, ambiguity: int) -> float | None:
    """Return the middle of the box that is left when `ambiguity` digits are held back; None if it is none."""
    digits = list(minutes + hundredths)
    digits[4 - ambiguity :] = "0" * ambiguity
    try:
        value = int("".join(digits[:2])) + int("".join(digits[2:])) / 100
    except ValueError:
        return None
    return degrees + (value + _HALF_BOX_MINUTES[ambiguity]) / 60 if value < 60 else None


def _read_plain(text: str) -> Read | None:
    found = _PLAIN.match(text)
    if found is None:
        return None
    ambiguity = _ambiguity(found[2] + found[3])
    # The latitude rules the longitude as well, even where its digits are there.
    if ambiguity is None:
        return None
    lat = ambiguous_degrees(int(found[1]), found[2], found[3], ambiguity)
    lon = ambiguous_degrees(int(found[6]), found[7], found[8], ambiguity)
    if lat is None or lon is None or lat > 90 or lon > 180:
        return None
    symbol = found[5] + found[10]
    if lat == 0 and lon == 0:
        return Read(None, symbol, PLAIN_BYTES)
    place = Place(-lat if found[4] == "S" else lat, -lon if found[9] == "W" else lon, ambiguity, symbol)
    return Read(place, symbol, PLAIN_BYTES)


def _ambiguity(digits: str) -> int | None:
    """How many digits are blank at the end; None where a blank stands before a digit."""
    kept = digits.rstrip(" ")
    return None if " " in kept else len(digits) - len(kept)


def _read_compressed(text: str) -> Read | None:
    found = _COMPRESSED.match(text)
    if found is None:
        return None
    lat, lon = 90 - base_91(found[2]) / 380926, -180 + base_91(found[3]) / 190463
    if lat < -90 or lon > 180:
        return None
    table = found[1]
    # Digits are sent as letters, so that the first character tells this form from the plain one.
    symbol = (str(ord(table) - ord("a")) if "a" <= table <= "j" else table) + found[4]
    return _with_extras(
        Read(Place(lat, lon, 0, symbol), symbol, COMPRESSED_BYTES, compressed=True), *found.group(5, 6, 7)
    )


def _with_extras(read: Read, first: str, second: str, kind: str) -> Read:
    """The two bytes after the symbol, by the compression type."""
    if first == " " or second == " " or kind == " ":
        return read
    from msgspec.structs import replace  # noqa: PLC0415  (seldom needed)

    bits = ord(kind) - 33
    read = replace(read, current=bool(bits >> 5 & 1))
    if bits >> 3 & 0b11 == _FROM_GGA:
        return replace(read, height_m=1.002 ** base_91(first + second) * FOOT_METRES)
    if first == "{":
        return replace(read, range_m=2 * 1.08 ** base_91(second) * MILE_METRES)
    if first > "z":
        return read
    course = float(base_91(first) * 4) or 360.0
    return replace(read, course_deg=course, speed_m_s=(1.08 ** base_91(second) - 1) * KNOT_METRES_PER_SECOND)
