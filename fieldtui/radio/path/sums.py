"""The loops over a terrain profile, in plain Python. `array_sums.py` has the same with numpy.

Distances in km and heights in metres, as in the Recommendations; `curve` is 500 over the effective radius in km.
Every function looks at the inner points only, the ends being antennas.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt
from typing import Protocol


class Sums(Protocol):
    """One way to run the loops; the answers are the same to rounding."""

    def flat(self, count: int) -> Sequence[float]:
        """Heights of zero."""
        ...

    def row(self, values: Sequence[float]) -> Sequence[float]:
        """Values in the form that these loops take soonest."""
        ...

    def steepest_from_first(self, d: Sequence[float], h: Sequence[float], h1: float, curve: float) -> float:
        """Largest slope from the first antenna to any inner point, m/km."""
        ...

    def steepest_from_last(self, d: Sequence[float], h: Sequence[float], h2: float, curve: float) -> float:
        """Largest slope from the last antenna to any inner point, m/km."""
        ...

    def largest_height(
        self, d: Sequence[float], h: Sequence[float], h1: float, h2: float, curve: float
    ) -> float:
        """Largest of height above the line between the antennas times sqrt(0.002 d / (d1 d2))."""
        ...

    def areas(self, d: Sequence[float], h: Sequence[float]) -> tuple[float, float]:
        """The two sums of the least-squares line through the ground."""
        ...

    def obstruction(
        self, d: Sequence[float], h: Sequence[float], h1: float, h2: float
    ) -> tuple[float, float, float]:
        """Largest height above the line between the antennas, and largest slopes from both ends."""
        ...


class PlainSums:
    """The loops in plain Python."""

    def flat(self, count: int) -> Sequence[float]:
        """See `Sums`."""
        return [0.0] * count

    def row(self, values: Sequence[float]) -> Sequence[float]:
        """See `Sums`."""
        return list(values)

    def steepest_from_first(self, d: Sequence[float], h: Sequence[float], h1: float, curve: float) -> float:
        """See `Sums`."""
        end = d[-1]
        return max((hi + curve * di * (end - di) - h1) / di for di, hi in zip(d[1:-1], h[1:-1], strict=True))

    def steepest_from_last(self, d: Sequence[float], h: Sequence[float], h2: float, curve: float) -> float:
        """See `Sums`."""
        end = d[-1]
        return max(
            (hi + curve * di * (end - di) - h2) / (end - di) for di, hi in zip(d[1:-1], h[1:-1], strict=True)
        )

    def largest_height(
        self, d: Sequence[float], h: Sequence[float], h1: float, h2: float, curve: float
    ) -> float:
        """See `Sums`."""
        end = d[-1]
        return max(
            (hi + curve * di * (end - di) - (h1 * (end - di) + h2 * di) / end)
            * sqrt(0.002 * end / (di * (end - di)))
            for di, hi in zip(d[1:-1], h[1:-1], strict=True)
        )

    def areas(self, d: Sequence[float], h: Sequence[float]) -> tuple[float, float]:
        """See `Sums`."""
        first = second = 0.0
        for d0, d1, h0, h1 in zip(d, d[1:], h, h[1:], strict=False):
            first += (d1 - d0) * (h1 + h0)
            second += (d1 - d0) * (h1 * (2 * d1 + d0) + h0 * (d1 + 2 * d0))
        return first, second

    def obstruction(
        self, d: Sequence[float], h: Sequence[float], h1: float, h2: float
    ) -> tuple[float, float, float]:
        """See `Sums`."""
        end = d[-1]
        over = [(hi - (h1 * (end - di) + h2 * di) / end, di) for di, hi in zip(d[1:-1], h[1:-1], strict=True)]
        return (
            max(height for height, _ in over),
            max(height / di for height, di in over),
            max(height / (end - di) for height, di in over),
        )


PLAIN = PlainSums()
"""The loops that need nothing but Python."""
