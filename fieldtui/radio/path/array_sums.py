"""The loops over a terrain profile with numpy, an optional package: the same numbers as `sums.py`, sooner."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from fieldtui.radio.path.sums import PLAIN, Sums

if TYPE_CHECKING:
    import numpy as np


class ArraySums:
    """The loops of `Sums` over arrays; `numpy` is the imported package."""

    def __init__(self, numpy: Any) -> None:
        self._numpy = numpy

    def flat(self, count: int) -> Sequence[float]:
        """See `Sums`."""
        zeros: Sequence[float] = self._numpy.zeros(count)
        return zeros

    def row(self, values: Sequence[float]) -> Sequence[float]:
        """See `Sums`."""
        made: Sequence[float] = self._numpy.array(values, dtype=float)
        return made

    def steepest_from_first(self, d: Sequence[float], h: Sequence[float], h1: float, curve: float) -> float:
        """See `Sums`."""
        di, hi, left = self._inner(d, h)
        return float(((hi + curve * di * left - h1) / di).max())

    def steepest_from_last(self, d: Sequence[float], h: Sequence[float], h2: float, curve: float) -> float:
        """See `Sums`."""
        di, hi, left = self._inner(d, h)
        return float(((hi + curve * di * left - h2) / left).max())

    def largest_height(
        self, d: Sequence[float], h: Sequence[float], h1: float, h2: float, curve: float
    ) -> float:
        """See `Sums`."""
        di, hi, left = self._inner(d, h)
        end = d[-1]
        over = hi + curve * di * left - (h1 * left + h2 * di) / end
        return float((over * self._numpy.sqrt(0.002 * end / (di * left))).max())

    def areas(self, d: Sequence[float], h: Sequence[float]) -> tuple[float, float]:
        """See `Sums`."""
        at, height = self._numpy.asarray(d), self._numpy.asarray(h)
        d0, d1, h0, h1 = at[:-1], at[1:], height[:-1], height[1:]
        step = d1 - d0
        first = step * (h1 + h0)
        second = step * (h1 * (2 * d1 + d0) + h0 * (d1 + 2 * d0))
        return float(first.sum()), float(second.sum())

    def obstruction(
        self, d: Sequence[float], h: Sequence[float], h1: float, h2: float
    ) -> tuple[float, float, float]:
        """See `Sums`."""
        di, hi, left = self._inner(d, h)
        over = hi - (h1 * left + h2 * di) / d[-1]
        return float(over.max()), float((over / di).max()), float((over / left).max())

    def _inner(
        self, d: Sequence[float], h: Sequence[float]
    ) -> tuple[np.ndarray[Any, Any], np.ndarray[Any, Any], np.ndarray[Any, Any]]:
        di = self._numpy.asarray(d)[1:-1]
        return di, self._numpy.asarray(h)[1:-1], d[-1] - di


def fastest_sums() -> Sums:
    """Return the loops with numpy where it is installed, else in plain Python."""
    try:
        import numpy  # noqa: PLC0415, ICN001 - optional, and costly to import
    except ImportError:
        return PLAIN
    return ArraySums(numpy)
