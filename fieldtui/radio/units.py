"""Metres into what a reader wants to see, at the last moment."""

from __future__ import annotations

from math import ceil
from typing import Literal

Unit = Literal["km", "mi"]
"""What distances are told in."""

METRES_PER_MILE = 1609.344
"""International mile (1959 agreement), exact."""


def format_distance(metres: float, unit: Unit = "km") -> str:
    """Return a distance in kilometres or miles: one decimal below ten, whole numbers above, spaced thousands.

    `metres` is finite and not negative, ValueError otherwise. More digits than that would promise more than a
    six-character locator knows (its corner lies some 4 km from its centre).
    """
    if not 0 <= metres < float("inf"):
        raise ValueError(f"a distance is a number of metres from zero up, not {metres:g}")
    value = metres / (METRES_PER_MILE if unit == "mi" else 1000)
    digits = f"{value:.1f}" if value < 9.95 else f"{value:,.0f}".replace(",", " ")
    return f"{digits} {unit}"


def count_of(number: int, one: str, more: str = "") -> str:
    """Return `1 contact`, `2 contacts`; `more` is the plural where it is not `one` with an s."""
    return f"{number} {one if number == 1 else more or one + 's'}"


def rounded_up(value: float, digits: int) -> float:
    """Return a value with so many decimals, never smaller than it is: for what is asked for at least."""
    step = float(10**digits)
    # A hair above a step is that step: binary decimals are not exact.
    return ceil(value * step - 1e-9) / step


def span_words(seconds: float) -> str:
    """`52 s`, `14 min`, `2 h 05 min`, `3 d 04 h`, `25 days`; a negative span is none."""
    whole = max(0, round(seconds))
    if whole < 120:
        return f"{whole} s"
    minutes = round(whole / 60)
    if minutes < 60:
        return f"{minutes} min"
    hours, minutes = divmod(minutes, 60)
    if hours < 48:
        return f"{hours} h {minutes:02d} min"
    return f"{hours // 24} d {hours % 24:02d} h" if hours < 14 * 24 else f"{round(hours / 24)} days"
