"""Planned and actual quantities in words, for screen and report."""

from __future__ import annotations

from datetime import date, datetime

from fieldtui.journal.plan_events import PlanMade
from fieldtui.radio.units import format_distance
from fieldtui.session.plan.fold import time_of
from fieldtui.session.plan.truth import Truth


def truth_words(row: Truth, *, miles: bool = False) -> tuple[str, str]:
    """Planned and actual; a dash where nothing is known."""
    planned = _interval(row.planned, row.planned_high, row.unit, miles=miles)
    if row.actual_low is None:
        return planned, quantity(row.actual, row.unit, miles=miles)
    return planned, _interval(row.actual_low, row.actual_high, row.unit, miles=miles)


def _interval(low: float | None, high: float | None, unit: str, *, miles: bool) -> str:
    first = quantity(low, unit, miles=miles)
    last = quantity(high, unit, miles=miles)
    if None in (low, high) or first == last:
        return first
    # The unit once, where it is the same for both: two intervals must fit beside each other.
    return f"{first if unit == 'm' else first.removesuffix(f' {unit}')} to {last}"


def quantity(value: float | None, unit: str, *, miles: bool = False) -> str:
    """One value with no more digits than it is worth."""
    if value is None:
        return "-"
    if unit == "m":
        return format_distance(max(0.0, value), "mi" if miles else "km")
    digits = 0 if unit in ("%", "") else 2 if unit == "A" else 1
    return f"{value:.{digits}f} {unit}".rstrip()


def time_words(text: str | None, made: PlanMade) -> str:
    """A time of a plan, to the minute, UTC; with its date where that is not the day of the outing."""
    at: datetime | None = time_of(text)
    if at is None:
        return "none"
    try:
        days = (at.date() - date.fromisoformat(made.on)).days
    except ValueError:
        return f"{at:%H:%M}"
    return f"{at:%H:%M}" + {0: "", 1: " next day"}.get(days, f" on {at:%Y-%m-%d}")
