"""Times, spans and counts in words, the same in every section."""

from __future__ import annotations

from datetime import UTC, datetime

from fieldtui.radio.units import count_of, span_words

__all__ = ["clock_words", "count_words", "day_words", "days_words", "minutes_words", "span_words"]

count_words = count_of


def minutes_words(seconds: float) -> str:
    """`9:42` minutes and seconds, for what is compared with a limit in minutes."""
    whole = max(0, round(seconds))
    return f"{whole // 60}:{whole % 60:02d} min"


def clock_words(at: datetime | None, *, day: bool = False) -> str:
    """Hours and minutes UTC, with the day if it matters."""
    if at is None:
        return ""
    at = at.astimezone(UTC)
    return f"{_day(at)} {at:%H:%M}" if day else f"{at:%H:%M}"


def day_words(at: datetime | None) -> str:
    """The day, year first; years before 1000 with all four figures."""
    return _day(at.astimezone(UTC)) if at else ""


def days_words(first: datetime | None, last: datetime | None) -> str:
    """`2026-06-14 to 2026-06-21`, or the one day."""
    return " to ".join(dict.fromkeys(filter(None, (day_words(first), day_words(last)))))


def _day(at: datetime) -> str:
    return f"{at.year:04d}-{at.month:02d}-{at.day:02d}"
