"""The edge of a transmission, and the samples it is found in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median
from typing import Literal

Cause = Literal["step", "gap", "joined", "too long"]


@dataclass(frozen=True, slots=True)
class Edge:
    """One edge of a transmission.

    `seconds` is the best estimate on the caller's clock; the truth lies within `uncertainty_seconds` of it.
    `amps` is the level after the edge and `amps_before` the one before it (discharge negative), `volts_after`
    and `volts_before` the same for the voltage where it was given. `cause` tells how the edge was found: "step"
    in the samples, "gap" somewhere in a gap of the data, "joined" already sending at the first sample (it began
    up to `uncertainty_seconds` earlier), "too long" given up.
    """

    kind: Literal["start", "end"]
    seconds: float
    uncertainty_seconds: float
    amps: float
    amps_before: float | None = None
    volts_before: float | None = None
    volts_after: float | None = None
    cause: Cause = "step"


@dataclass(frozen=True, slots=True)
class Sample:
    """One reading: monotonic seconds, amps (discharge negative), volts where known."""

    seconds: float
    amps: float
    volts: float | None = None


def bracket(left: float, right: float) -> tuple[float, float]:
    """Give the middle of two instants and half their distance: an edge seen between two samples."""
    return (left + right) / 2, (right - left) / 2


def sharp_limit(period: float) -> float:
    """Give how long one step of the load may take, seen in samples `period` seconds apart.

    One part-way sample may lie between, and a set needs some tenths of a second; clouds take longer.
    """
    return max(0.45, 2.5 * period)


def settled_from(samples: Sequence[Sample], tolerance: float) -> int:
    """Give the index from which all samples lie within `tolerance` amps of where they arrive."""
    level = median(each.amps for each in samples[-3:])
    first = len(samples)
    while first and abs(samples[first - 1].amps - level) <= tolerance:
        first -= 1
    return first
