"""Single fields of a position sentence: text into numbers, angles, times, dates.

The forms are those of NMEA 0183 as restated by D. DePriest (gpsinformation.org) and in the notes of gpsd.
Every reader takes text that is ASCII, returns None for an empty field, and raises FieldError for anything
that cannot be. A pattern comes before every conversion: `float` and `int` also take `nan`, `1_2` and blanks.
"""

from __future__ import annotations

import re
from datetime import date

from msgspec import Struct

METRES_A_SECOND_PER_KNOT = 1852 / 3600
"""The international nautical mile is 1852 m (SI Brochure, 8th edition, table 8)."""

_NUMBER = re.compile(r"[+-]?[0-9]{1,9}(?:\.[0-9]{0,12})?")
_COUNT = re.compile(r"[0-9]{1,4}")
_ANGLE = re.compile(r"([0-9]{1,3})([0-5][0-9](?:\.[0-9]{0,10})?)")
_TIME = re.compile(r"([01][0-9]|2[0-3])([0-5][0-9])([0-5][0-9]|60)(\.[0-9]{0,9})?")
_DATE = re.compile(r"([0-9]{2})([0-9]{2})([0-9]{2})")
_CENTURY = 2000
"""A receiver that shows a two-digit year says one of this century: the program is younger than it."""
_OLDEST_YEAR = 80
"""Two digits from 80 on are 19xx: the satellites' own count begins in January 1980 (IS-GPS-200)."""


class FieldError(ValueError):
    """The field holds what it cannot hold; the text is safe to show."""


class DayTime(Struct, frozen=True):
    """A time of day, UTC. During a leap second `seconds` stays at the one before."""

    seconds: float
    """Since midnight, 0 to below 86400."""
    leap: bool = False


def number(text: str, name: str, least: float, most: float) -> float | None:
    """Read a decimal number from `least` to `most`."""
    if not text:
        return None
    if not _NUMBER.fullmatch(text) or not least <= float(text) <= most:
        raise FieldError(f"{name} '{text[:20]}'")
    return float(text)


def count(text: str, name: str) -> int | None:
    """Read a whole number of up to four digits."""
    if not text:
        return None
    if not _COUNT.fullmatch(text):
        raise FieldError(f"{name} '{text[:20]}'")
    return int(text)


def angle(text: str, side: str, sides: str, most_deg: int) -> float | None:
    """Read `ddmm.mmmm` and its hemisphere (`sides` is the positive letter, then the negative one).

    Whole minutes may come without a point. A field without its hemisphere is no angle: it would be a place on
    the wrong side of the world half of the time.
    """
    if not text and not side:
        return None
    match = _ANGLE.fullmatch(text)
    if match is None or len(side) != 1 or side not in sides:
        raise FieldError(f"angle '{text[:20]}' '{side[:4]}'")
    degrees = int(match[1]) + float(match[2]) / 60
    if degrees > most_deg:
        raise FieldError(f"angle '{text[:20]}'")
    return degrees if side == sides[0] else -degrees


def day_time(text: str) -> DayTime | None:
    """Read `hhmmss` with or without a fraction; second 60 is lawful and is taken as 59."""
    if not text:
        return None
    match = _TIME.fullmatch(text)
    if match is None:
        raise FieldError(f"time '{text[:20]}'")
    leap = match[3] == "60"
    if leap and match[2] != "59":
        raise FieldError(f"time '{text[:20]}'")
    fraction = float(match[4]) if match[4] and match[4] != "." else 0.0
    seconds = int(match[1]) * 3600 + int(match[2]) * 60 + (59 if leap else int(match[3])) + fraction
    return DayTime(seconds, leap)


def short_date(text: str) -> date | None:
    """Read `ddmmyy`."""
    if not text:
        return None
    match = _DATE.fullmatch(text)
    if match is None:
        raise FieldError(f"date '{text[:20]}'")
    year = int(match[3])
    return _day(year + (_CENTURY - 100 if year >= _OLDEST_YEAR else _CENTURY), int(match[2]), int(match[1]))


def long_date(day: str, month: str, year: str) -> date | None:
    """Read a date whose parts stand in fields of their own, the year with four digits."""
    if not (day or month or year):
        return None
    if not all(_COUNT.fullmatch(part) for part in (day, month, year)) or len(year) != 4:
        raise FieldError(f"date '{day[:4]}' '{month[:4]}' '{year[:6]}'")
    return _day(int(year), int(month), int(day))


def _day(year: int, month: int, day: int) -> date:
    try:
        return date(year, month, day)
    except ValueError:
        raise FieldError(f"date {year}-{month}-{day}") from None
