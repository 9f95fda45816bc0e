"""Strokes of the bell, as a terminal gets them, grouped to the rings that an operator hears."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

APART_SECONDS = 1.7
"""Strokes of one ring are 0.4 s apart and rings at least 3 s: half-way between, so that a busy machine splits none."""

PACKET, CALL, BATTERY, TOO_LONG = 1, 2, 3, 4
"""How many strokes say what."""


class Ring(NamedTuple):
    """One ring: the moment of its first stroke on the clock of the journal, and how many strokes it had."""

    at: float
    strokes: int


def rings_of(strokes: Iterable[float]) -> list[Ring]:
    """Group strokes, which come in their order."""
    rings: list[Ring] = []
    last = float("-inf")
    for at in strokes:
        if at - last > APART_SECONDS:
            rings.append(Ring(at, 1))
        else:
            rings[-1] = Ring(rings[-1].at, rings[-1].strokes + 1)
        last = at
    return rings
