"""Round numbers for the axes of drawings."""

from __future__ import annotations

import math


def even_ticks(low: float, high: float, about: int) -> list[float]:
    """Round numbers between two values, `about` so many; the lower one alone if the other is not above it."""
    if not high > low:
        return [low]
    step = nice_step((high - low) / about)
    first = math.ceil(low / step - 1e-9)
    return [round(at * step, 6) for at in range(first, math.floor(high / step + 1e-9) + 1)]


def nice_step(least: float) -> float:
    """The smallest of 1, 2, 5 times a power of ten that is no less."""
    power: float = 10 ** math.floor(math.log10(least))
    return next(power * factor for factor in (1, 2, 5, 10) if power * factor >= least * (1 - 1e-9))
