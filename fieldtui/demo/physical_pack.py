"""A small physical model of a LiFePO4 pack, so that the stand-in shunt says what a real one would.

Open-circuit voltage by charge, an ohmic resistance, one resistor-capacitor branch for the slow relaxation,
exact counting of charge, and the noise and steps of the shunt's converter. The one-branch Thevenin model of
battery textbooks, not a cell simulator: no temperature, no ageing, no hysteresis.
"""

from __future__ import annotations

from math import exp, isfinite
from random import Random

from fieldtui.power.tables import chemistry

_CURVE_NUMBER = 1
"""Which rested curve stands for the pack: the test-bench table, whose upper end is the most lifelike. Others go
further down at their lower end."""


class PhysicalPack:
    """One pack with a load on it. Amps are negative for discharge, as everywhere.

    `amp_hours` is the true capacity, `internal_ohms` the ohmic part of pack and wiring together,
    `charge_percent` the charge at the start. The same seed gives the same noise.
    """

    def __init__(
        self,
        amp_hours: float,
        cells: int = 4,
        internal_ohms: float = 0.035,
        charge_percent: float = 100.0,
        seed: int = 0,
        *,
        relaxation_ohms: float = 0.012,
        relaxation_seconds: float = 45.0,
        volts_noise: float = 0.004,
        amps_noise: float = 0.01,
        volts_step: float = 0.01,
        amps_step: float = 0.01,
        curve_number: int = _CURVE_NUMBER,
    ) -> None:
        _require(amp_hours > 0, "a pack needs a capacity above 0 Ah")
        _require(cells > 0, "a pack needs at least one cell in series")
        _require(internal_ohms >= 0, "internal resistance cannot be negative")
        _require(0 <= charge_percent <= 100, "charge goes from 0 to 100 percent")
        self.amp_hours = amp_hours
        self.cells = cells
        self.internal_ohms = internal_ohms
        self.relaxation_ohms = relaxation_ohms
        self.relaxation_seconds = relaxation_seconds
        self._amp_hours_left = amp_hours * charge_percent / 100
        self._relaxation_volts = 0.0
        self._noise = (volts_noise, amps_noise)
        self._steps = (volts_step, amps_step)
        self._random = Random(seed)
        self._curve = chemistry("lifepo4").curves[curve_number]

    @property
    def charge_percent(self) -> float:
        """The true charge, 0 to 100 percent."""
        return 100 * self._amp_hours_left / self.amp_hours

    @property
    def amp_hours_left(self) -> float:
        """The true ampere-hours left."""
        return self._amp_hours_left

    @property
    def rested_volts(self) -> float:
        """The true open-circuit volts at this charge."""
        return self._curve.volts_at(self.charge_percent) * self.cells

    def terminal_volts(self, load_amps: float) -> float:
        """Give the true volts under a load (positive amps is a load, negative a charger), now."""
        return self.rested_volts - self._relaxation_volts - load_amps * self.internal_ohms

    def step(self, load_amps: float, seconds: float) -> tuple[float, float]:
        """Let `seconds` pass under a load; return what the shunt shows: volts, amps (a load is negative).

        `load_amps` is positive for a load and negative for a charger. A full pack takes no charge and an
        empty one gives none: the protection board is not modelled, the charge simply stops at its ends.
        """
        _require(isfinite(load_amps) and seconds >= 0, "step needs finite amps and a time of 0 s or more")
        left = self._amp_hours_left - load_amps * seconds / 3600
        self._amp_hours_left = min(max(left, 0.0), self.amp_hours)
        settled = load_amps * self.relaxation_ohms
        decay = exp(-seconds / self.relaxation_seconds)
        self._relaxation_volts = settled + (self._relaxation_volts - settled) * decay
        volts = self.terminal_volts(load_amps) + self._random.gauss(0, self._noise[0])
        amps = -load_amps + self._random.gauss(0, self._noise[1])
        return _quantised(volts, self._steps[0]), _quantised(amps, self._steps[1])


def _quantised(value: float, step: float) -> float:
    """Round to the converter's step; a step of 0 leaves the value alone."""
    return round(value / step) * step if step > 0 else value


def _require(holds: bool, message: str) -> None:
    if not holds:
        raise ValueError(message)
