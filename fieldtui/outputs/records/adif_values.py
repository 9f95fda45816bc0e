"""Values as the data types of ADIF 3.1.6 spell them, both ways. Pure."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta

EARLIEST_YEAR = 1930
"""Of the data type Date."""

MOST_METRES = 1e6
"""Of a height above the sea, either way, that is taken for one."""

PRECISE_CHARACTERS = 6
"""Of a locator whose centre is good enough to stand for a position: 5 by 2.5 minutes at most."""

_NUMBER = re.compile(r"-?(?:[0-9]{1,15}(?:\.[0-9]{0,15})?|\.[0-9]{1,15})")
_LOCATION = re.compile(r"([NSEW])([0-9]{3}) ([0-9]{2}\.[0-9]{3})", re.IGNORECASE)
_DATE = re.compile(r"[0-9]{8}")
_TIME = re.compile(r"[0-9]{4}(?:[0-9]{2})?")


def tag(name: str, value: str) -> str:
    """A data specifier and its value; the value is ASCII, so its length counts bytes and characters alike."""
    return f"<{name}:{len(value)}>{value}"


def number(value: float, decimals: int = 6) -> str:
    """Data type Number: digits and at most one point, no exponent, no needless zeros, no minus before zero."""
    text = f"{value:.{decimals}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


def megahertz(hertz: int) -> str:
    """Whole hertz as the MHz of FREQ, exact."""
    whole, rest = divmod(hertz, 1_000_000)
    return f"{whole}.{rest:06d}".rstrip("0").rstrip(".")


def location(degrees: float, signs: str) -> str:
    """Data type Location, `XDDD MM.MMM`; `signs` is `NS` or `EW`.

    The whole angle is rounded to thousandths of a minute before it is split, or 59.9999 would become 60.000.
    """
    thousandths = round(abs(degrees) * 60_000)
    whole, minutes = divmod(thousandths, 60_000)
    sign = signs[1] if degrees < 0 and thousandths else signs[0]
    return f"{sign}{whole:03d} {minutes // 1000:02d}.{minutes % 1000:03d}"


def date(at: datetime) -> str:
    """Data type Date, UTC."""
    return f"{at.astimezone(UTC):%Y%m%d}"


def time(at: datetime) -> str:
    """Data type Time with seconds, UTC."""
    return f"{at.astimezone(UTC):%H%M%S}"


def read_number(text: str) -> float | None:
    """A Number, or None: a comma, an exponent or a plus makes it none."""
    return float(text) if _NUMBER.fullmatch(text.strip()) else None


def read_megahertz(text: str) -> int | None:
    """Whole hertz of a frequency in MHz, the nearest; None if it is not a Number or not above zero."""
    value = text.strip()
    if not _NUMBER.fullmatch(value) or value.startswith("-"):
        return None
    whole, _, decimals = value.partition(".")
    rounded_up = decimals[6:7] >= "5"
    hertz = int(whole or 0) * 1_000_000 + int(decimals[:6].ljust(6, "0")) + rounded_up
    return hertz if 0 < hertz < 10**13 else None


def read_location(text: str, signs: str) -> float | None:
    """Degrees, north and east positive; None if it is not a Location on that axis."""
    found = _LOCATION.fullmatch(text.strip())
    if found is None or found[1].upper() not in signs or float(found[3]) >= 60:
        return None
    degrees = (int(found[2]) * 60_000 + int(found[3].replace(".", ""))) / 60_000
    if degrees > (90 if signs == "NS" else 180):
        return None
    return -degrees if found[1].upper() == signs[1] else degrees


def read_moment(date_text: str, time_text: str) -> datetime | None:
    """UTC of a Date and a Time, `HHMM` or `HHMMSS`; None unless both are sound."""
    day, hour = date_text.strip(), time_text.strip()
    if not (_DATE.fullmatch(day) and _TIME.fullmatch(hour)):
        return None
    try:
        at = datetime.strptime(day + hour.ljust(6, "0"), "%Y%m%d%H%M%S").replace(tzinfo=UTC)
    except ValueError:
        return None
    return at if at.year >= EARLIEST_YEAR else None


def read_end(began: datetime, date_text: str, time_text: str) -> datetime | None:
    """UTC of QSO_DATE_OFF and TIME_OFF.

    Without the date the contact was shorter than 24 hours, so an earlier time is the next day's. A time without
    seconds in the minute of the beginning means no moment before it.
    """
    end = read_moment(date_text or f"{began:%Y%m%d}", time_text)
    if end is None or end >= began:
        return end
    if is_to_the_minute(time_text) and end == began.replace(second=0, microsecond=0):
        return began
    return end if date_text else end + timedelta(days=1)


def is_to_the_minute(time_text: str) -> bool:
    """Whether a Time says nothing of seconds."""
    return len(time_text.strip()) == 4
