"""The edge of a transmission, and the samples it is found in."""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

Kind = Literal["start", "end"]
Cause = Literal["step", "gap", "joined", "too long"]


class Edge(Struct, frozen=True):
    """One edge of a transmission.

    `seconds` is the best estimate on the caller's clock; the truth lies within `uncertainty_seconds` of it.
    `amps` is the level after the edge and `amps_before` the one before it (discharge negative), `volts_after` and
    `volts_before` the same for the voltage where it was given. `cause` tells how the edge was found: "step" in the
    samples, "gap" somewhere in a gap of the data, "joined" already sending at the first sample (it began up to
    `uncertainty_seconds` earlier), "too long" given up.
    """

    kind: Kind
    seconds: float
    uncertainty_seconds: float
    amps: float
    amps_before: float | None = None
    volts_before: float | None = None
    volts_after: float | None = None
    cause: Cause = "step"


class Sample(Struct, frozen=True):
    """One reading: monotonic seconds, amps (discharge negative), volts where known.

    `elapsed` is the time since the sample before, `period` the usual one, `noise` the usual wander of the current
    in amps, `slope` how fast it has just changed in amps per second.
    """

    seconds: float
    amps: float
    volts: float | None = None
    elapsed: float = 1.0
    period: float = 1.0
    noise: float = 0.1
    slope: float = 0.0
