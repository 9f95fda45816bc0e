"""The wall clock of a place beside UTC, and times of day that are meant by it.

The zone is the station file's, or that of the machine. It only changes what is shown and what `5pm` means: nothing is
recorded by it.
"""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, time, timedelta, tzinfo

_TIME = re.compile(
    r"(?P<hour>[0-9]{1,2})(?::?(?P<minute>[0-9]{2}))?\s*(?P<half>[ap]\.?m\.?)?\s*(?P<local>local)?",
    re.IGNORECASE,
)
_HALVES = {"a": 0, "p": 12}


def zone_named(name: str) -> tzinfo:
    """Return a time zone of the IANA table, `America/Denver`. Raises ValueError, in one line, for what is none."""
    from zoneinfo import ZoneInfo  # noqa: PLC0415  (only where a zone is set)

    try:
        return ZoneInfo(name.strip())
    except (OSError, ValueError, LookupError):
        raise ValueError(
            f"{name[:40]!a} is not a time zone that this machine knows: write one such as America/Denver"
        ) from None


def zone_or_machine(name: str | None) -> tzinfo | None:
    """Return a zone by its name; None, the machine's, for none and for a name that this machine does not know."""
    try:
        return zone_named(name) if name else None
    except ValueError:
        return None


def local_of(at: datetime, zone: tzinfo | None = None) -> datetime:
    """Return a moment by the wall clock of a zone, or by that of the machine; UTC where no zone can tell."""
    try:
        return at.astimezone(zone)
    except (OverflowError, OSError, ValueError):
        return at.astimezone(UTC)


def read_local(text: str) -> time | None:
    """Read a time of day that is plainly meant by the wall clock: `5pm`, `5:30 pm`, `17:00 local`; None if it is not.

    The time returned has no zone.
    """
    found = _TIME.fullmatch(text.strip())
    if found is None or not (found["half"] or found["local"]):
        return None
    hour, minute = int(found["hour"]), int(found["minute"] or 0)
    if found["half"]:
        if not 1 <= hour <= 12:
            return None
        hour = hour % 12 + _HALVES[found["half"][0].lower()]
    return time(hour, minute) if hour < 24 and minute < 60 else None


def next_time(at: time, after: datetime, zone: tzinfo | None = None) -> datetime:
    """Return the first moment, in UTC, with a time of day that is not before another one.

    A time without a zone is meant by the wall clock of `zone`, or by the machine's.
    """
    if at.tzinfo is not None:
        found = datetime.combine(after.date(), at)
        return found if found >= after else found + timedelta(days=1)
    first = local_of(after, zone).date()
    days = (first + timedelta(days=more) for more in (-1, 0, 1, 2))
    return next(moment for day in days if (moment := _moment(day, at, zone)) >= after)


def local_words(at: datetime | None, zone: tzinfo | None = None, *, beside: date | None = None) -> str:
    """`17:04 PDT`, with the day of the week where it is not that of `beside`; nothing where the clock shows UTC."""
    if at is None:
        return ""
    local = local_of(at + timedelta(seconds=30), zone)
    if not local.utcoffset():
        return ""
    on = "" if beside is None or local.date() == beside else f" {local:%a}"
    return f"{local:%H:%M}{on} {_clean(local)}"


def _clean(local: datetime) -> str:
    """The name of the zone, or its offset where it has none for people."""
    name, offset = local.tzname() or "", f"{local:%z}"
    return name if name.isalpha() else f"UTC{offset[:3]}:{offset[3:5]}"


def _moment(day: date, at: time, zone: tzinfo | None) -> datetime:
    wall = datetime.combine(day, at, zone)
    return wall.astimezone(UTC)
