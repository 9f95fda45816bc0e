"""The median, without the standard library's `statistics`: importing that costs a start as much as ten modules."""

from __future__ import annotations

from collections.abc import Iterable


def median(values: Iterable[float]) -> float:
    """Return the middle value, or the mean of the middle two; ValueError for none at all."""
    ordered = sorted(values)
    if not ordered:
        raise ValueError("no values have no middle")
    half = len(ordered) // 2
    return ordered[half] if len(ordered) % 2 else (ordered[half - 1] + ordered[half]) / 2
