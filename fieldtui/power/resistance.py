"""Internal resistance of pack, leads and contacts, from the steps that transmitting makes; and what it costs.

Amps are negative for discharge, so the volts at the terminals are V = rested + amps x ohms.
"""

from __future__ import annotations

from collections import deque
from math import sqrt

from msgspec import Struct

from fieldtui.power.median import median
from fieldtui.power.packs import Pack
from fieldtui.power.transmit.edges import Edge

LEAST_STEP_AMPS = 1.0
"""Smaller steps tell more about the noise of the shunt than about the pack."""

_KEPT_STEPS = 60
_FIRST_STEPS = 10
_LATEST_STEPS = 5
_FEW_STEPS = 20
_STUDENT_95 = (
    12.706, 4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262, 2.228,
    2.201, 2.179, 2.160, 2.145, 2.131, 2.120, 2.110, 2.101, 2.093, 2.086,
)  # fmt: skip
"""Student's t, 97.5 % quantile, for 1 to 20 degrees of freedom (NIST/SEMATECH e-Handbook, table 1.3.6.7.2)."""


class Resistance(Struct, frozen=True):
    """Ohms, half of what the truth lies within at 95 % (twice this is what is shown), and from how many steps."""

    ohms: float
    uncertainty_ohms: float
    steps: int


def step_ohms(volts_before: float, amps_before: float, volts_after: float, amps_after: float) -> float:
    """Give the resistance across one step of the load: dV / dI, in ohms.

    Ohm's law on two loads a few seconds apart; it contains the leads, the fuse and the contacts up to the point
    where the volts are measured. Raises ValueError when the current hardly changes.
    """
    change = amps_after - amps_before
    if abs(change) < 0.05:
        raise ValueError("the current hardly changes: a resistance needs two loads that differ")
    return (volts_after - volts_before) / change


def expected_volts(rested_volts: float, ohms: float, amps: float) -> float:
    """Give the volts under a load: rested volts less what the resistance takes (amps negative for discharge)."""
    return rested_volts + amps * ohms


def rested_volts(volts: float, ohms: float, amps: float) -> float:
    """Give the volts that the terminals would show without the load."""
    return volts - amps * ohms


class ResistanceEstimator:
    """Collects transmit steps; the median stands against the odd step that the sun or a fan spoiled."""

    def __init__(self) -> None:
        self._steps: deque[tuple[float, float]] = deque(maxlen=_KEPT_STEPS)
        self._first: list[float] = []
        self._known: Resistance | None = None

    def add_edge(self, edge: Edge) -> bool:
        """Take an edge of a transmission; tell whether it could be used."""
        if edge.cause != "step" or edge.amps_before is None:
            return False
        if edge.volts_before is None or edge.volts_after is None:
            return False
        return self.add_step(edge.volts_before, edge.amps_before, edge.volts_after, edge.amps)

    def add_step(
        self, volts_before: float, amps_before: float, volts_after: float, amps_after: float
    ) -> bool:
        """Take one step of the load; tell whether it was large enough to be used."""
        change = amps_after - amps_before
        if abs(change) < LEAST_STEP_AMPS:
            return False
        ohms = step_ohms(volts_before, amps_before, volts_after, amps_after)
        self._steps.append((ohms, abs(change)))
        self._known = None
        if len(self._first) < _FIRST_STEPS:
            self._first.append(ohms)
        return True

    def resistance(self) -> Resistance | None:
        """Give the resistance now: the median weighted by the size of the step; None before three steps."""
        if len(self._steps) < 3 or self._known is not None:
            return self._known
        ohms = _weighted_median(self._steps)
        self._known = Resistance(
            ohms, _uncertainty([each for each, _ in self._steps], ohms), len(self._steps)
        )
        return self._known

    def rising(self) -> str | None:
        """Say so when the last steps show clearly more resistance than the first: a lead or contact going bad."""
        if len(self._first) < _FIRST_STEPS or len(self._steps) < _FIRST_STEPS + _LATEST_STEPS:
            return None
        before = median(self._first)
        now = median([ohms for ohms, _ in self._steps][-_LATEST_STEPS:])
        if now < 1.5 * before or now - before < 0.015:
            return None
        return (
            f"resistance rose from {1000 * before:.0f} to {1000 * now:.0f} milliohms: feel fuse, plugs and leads for "
            "heat with the transmitter off, tighten or replace them"
        )

    def backwards(self) -> bool:
        """Tell whether volts rise when the load grows, which only a shunt wired or signed backwards shows."""
        negative = sum(ohms < -0.002 for ohms, _ in self._steps)
        return len(self._steps) >= 3 and negative >= 0.8 * len(self._steps)


class TransmitLoad(Struct, frozen=True):
    """What transmitting does to the volts: resistance, amps (negative), and the least volts the radio works with."""

    ohms: float
    amps: float
    minimum_volts: float


def charge_at_minimum(
    pack: Pack, charge_percent: float, rested_now: float, load: TransmitLoad
) -> float | None:
    """Give the charge, in percent, at which transmitting pulls the volts down to the radio's minimum.

    The chemistry's median curve is shifted to pass through the rested volts seen now. 0 when that never happens
    above empty; None when it happens already.
    """
    shift = rested_now - pack.rested_volts_at(charge_percent)

    def enough(percent: float) -> bool:
        return (
            expected_volts(pack.rested_volts_at(percent) + shift, load.ohms, load.amps) >= load.minimum_volts
        )

    if not enough(charge_percent):
        return None
    if enough(0.0):
        return 0.0
    low, high = 0.0, charge_percent
    while high - low > 0.05:
        middle = (low + high) / 2
        low, high = (low, middle) if enough(middle) else (middle, high)
    return high


def hours_to_minimum(
    pack: Pack, charge_percent: float, rested_now: float, load: TransmitLoad, average_amps: float
) -> float | None:
    """Give the hours until a transmission pulls the volts below the radio's minimum, at an average current.

    0 when it does already; None when the pack is not being drawn (average amps zero or charging).
    """
    if average_amps >= 0:
        return None
    at = charge_at_minimum(pack, charge_percent, rested_now, load)
    if at is None:
        return 0.0
    return (charge_percent - at) / 100 * pack.total_amp_hours / -average_amps


def _uncertainty(steps: list[float], middle: float) -> float:
    """Give half of what the truth lies within at 95 %: Student's t, times the standard error of a median.

    That is 1.2533 sigma / sqrt(n) for about normal values. The deviation from the median stands against odd steps, but
    of few steps it tells little: then the standard deviation counts if it is larger.
    """
    count = len(steps)
    spread = 1.4826 * median(abs(each - middle) for each in steps)
    if count <= _FEW_STEPS:
        mean = sum(steps) / count
        spread = max(spread, sqrt(sum((each - mean) ** 2 for each in steps) / (count - 1)))
    return _student_95(count - 1) / 2 * 1.2533 * spread / sqrt(count)


def _student_95(freedom: int) -> float:
    """Give Student's t for 95 % both sides, from the usual table (beyond 20: 2.09 at most)."""
    return _STUDENT_95[min(freedom, len(_STUDENT_95)) - 1]


def _weighted_median(steps: deque[tuple[float, float]]) -> float:
    """Give the value with half the weight on either side."""
    ordered = sorted(steps)
    half = sum(weight for _, weight in ordered) / 2
    passed = 0.0
    for value, weight in ordered:
        passed += weight
        if passed >= half:
            return value
    return ordered[-1][0]
