"""What may follow a position: course and speed, power and height, range, bearing, altitude.

Source: APRS Protocol Reference 1.0.1, chapters 6 (altitude) and 7 (data extensions).
"""

from __future__ import annotations

import re

from msgspec import Struct

from fieldtui.radio.packets.values import FOOT_METRES, KNOT_METRES_PER_SECOND, MILE_METRES, Power

_COURSE_SPEED = re.compile(r"([0-9]{3}|\.{3}| {3})/([0-9]{3}|\.{3}| {3})")
_BEARING = re.compile(r"/([0-9]{3})/([0-9]{3})")
_POWER = re.compile(r"(PHG[0-9]|DFS[0-9])([0-~])([0-9])([0-9])")
_RANGE = re.compile(r"RNG([0-9]{4})")
_ALTITUDE = re.compile(r"/A=(-[0-9]{5}|[0-9]{6})")
_BEARING_SYMBOL = "/\\"


class Extension(Struct, frozen=True):
    """What was read, and the text after it."""

    rest: str
    course_deg: float | None = None
    speed_m_s: float | None = None
    range_m: float | None = None
    power: Power | None = None
    bearing_deg: float | None = None
    bearing_quality: str | None = None


def read_extension(text: str, symbol: str) -> Extension:
    """Read the data extension at the start of what follows a plain position."""
    if found := _COURSE_SPEED.match(text):
        return _course(found, text[7:], symbol)
    if found := _POWER.match(text):
        return Extension(text[7:], power=_power(*found.groups()))
    if found := _RANGE.match(text):
        return Extension(text[7:], range_m=int(found[1]) * MILE_METRES)
    return Extension(text)


def take_altitude(text: str) -> tuple[str, float | None]:
    """Return the text without its `/A=` altitude, and that in metres above mean sea level."""
    found = _ALTITUDE.search(text)
    if found is None:
        return text, None
    return text[: found.start()] + text[found.end() :], int(found[1]) * FOOT_METRES


def _course(found: re.Match[str], rest: str, symbol: str) -> Extension:
    course = int(found[1]) if found[1].isdigit() else 0
    # 000 is "not known", and so are dots and blanks; north is 360.
    read = Extension(
        rest,
        course_deg=float(course) if 1 <= course <= 360 else None,
        speed_m_s=int(found[2]) * KNOT_METRES_PER_SECOND if found[2].isdigit() else None,
    )
    bearing = _BEARING.match(rest) if symbol == _BEARING_SYMBOL else None
    if bearing is None:
        return read
    degrees = int(bearing[1])
    return Extension(
        rest[8:], read.course_deg, read.speed_m_s,
        bearing_deg=float(degrees) if degrees <= 360 else None, bearing_quality=bearing[2],
    )  # fmt: skip


def _power(head: str, height: str, gain: str, direction: str) -> Power:
    digit = int(head[3])
    reports = head.startswith("DFS")
    return Power(
        watts=None if reports else float(digit**2),
        # The height may go on beyond 9, with the characters after it, up to that of an airliner.
        height_m=10 * 2 ** min(ord(height) - 48, 20) * FOOT_METRES,
        gain_db=float(int(gain)),
        direction_deg=int(direction) * 45.0 if 1 <= int(direction) <= 8 else None,
        s_points=digit if reports else None,
    )
