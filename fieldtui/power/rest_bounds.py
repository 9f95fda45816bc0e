"""What a voltage under load tells of the charge: bounds on the rested voltage, and no more than that.

At the terminals a pack under load shows its rested voltage less what the resistance takes, and less the slow part
that comes back only in minutes or hours. A generous bound on both gives a voltage above which the rested one cannot
lie. Nor can it lie below what the terminals show, unless a charger has just lifted them.
"""

from __future__ import annotations

from math import ceil, exp, floor

from msgspec import Struct

from fieldtui.power.packs import Pack
from fieldtui.power.resistance import Resistance

LIGHT_LOAD_PART = 0.1
"""A load below a tenth of the rated ampere-hours, in amps, pulls down little enough (common practice, no source)."""
OHMIC_CELL_VOLTS = 0.4
"""What pack, leads and plugs may take at a load of the rated ampere-hours in amps, for each cell, while no step of
the load has told it: some ten times a fresh cell of a data sheet (own bound)."""
SLOW_CELL_VOLTS = 0.2
"""What comes back slowly, for the same load and each cell (own bound, several times the usual)."""
STEPS_DOUBT = 1.2
"""A resistance from steps of the load is taken for so much more (own bound)."""
HELD_SECONDS = 60.0
MOST_APART_SECONDS = 15.0
"""Lines further apart do not tell what was between them: the recorder's heartbeat, with room."""
CHARGING_AMPS = 0.05
STEP_VOLTS = 0.01
"""Bounds are told in whole steps, away from each other: no less sure, and the same ones come again and again."""


class RestBounds(Struct, frozen=True):
    """Volts of the whole pack between which its rested voltage lies, as a light load showed it for a while.

    `at_least` is None while a charger may have lifted the terminals.
    """

    at_least: float | None
    at_most: float


class RestBoundsWatch:
    """Feeds on the lines of a shunt; deterministic. Bounds are told once they have held for `HELD_SECONDS` of them."""

    def __init__(self, pack: Pack) -> None:
        self._pack = pack
        plateau = pack.chemistry.plateau_cell_volts
        self._steep_below = pack.cells * plateau[0] if plateau else float("inf")
        self._light = LIGHT_LOAD_PART * pack.total_amp_hours
        self._unknown_ohms = self._ohms_of(OHMIC_CELL_VOLTS)
        self._slow_ohms = self._ohms_of(SLOW_CELL_VOLTS)
        self._slow_seconds = 60.0 * pack.chemistry.rest_minutes / 15
        self._slow_load = self._slow_charge = 0.0
        self._last: float | None = None
        self._current_at: float | None = None
        self._below = False
        self._begin()

    def _begin(self) -> None:
        self._held: float | None = None
        self._highest, self._lowest = float("-inf"), float("inf")

    def take(
        self, seconds: float, volts: float, amps: float, *, sending: bool, resistance: Resistance | None
    ) -> RestBounds | None:
        """Take a line: session seconds, volts, amps (discharge negative)."""
        # Four of five lines of a journal come by here, so what is simple is done in place.
        if -amps != self._slow_load or self._slow_charge:
            self._note_current(seconds, amps)
        self._current_at = seconds
        if sending or not -self._light <= amps <= self._light:
            return None
        apart = 0.0 if self._last is None else seconds - self._last
        self._last = seconds
        most = volts + self._slow_ohms * self._slow_load
        if amps < 0:
            most -= amps * (self._unknown_ohms if resistance is None else _most_ohms(resistance))
        if (most < self._steep_below) is not self._below:
            # Down from where the curve is flat, or up to it: what was seen before says nothing of here.
            self._below = not self._below
            self._begin()
        if most > self._highest:  # noqa: PLR1730 - for every line; a call costs four times as much
            self._highest = most
        if volts < self._lowest:  # noqa: PLR1730
            self._lowest = volts
        if self._held is None:
            self._held = 0.0
        elif 0 <= apart <= MOST_APART_SECONDS:
            self._held += apart
        if self._held < HELD_SECONDS:
            return None
        lifted = (
            amps > CHARGING_AMPS
            or self._slow_ohms * self._slow_charge > self._pack.chemistry.spread_cell_volts
        )
        lowest, highest = floor(self._lowest / STEP_VOLTS), ceil(self._highest / STEP_VOLTS)
        bounds = RestBounds(None if lifted else lowest * STEP_VOLTS, highest * STEP_VOLTS)
        self._begin()
        return bounds

    def _note_current(self, seconds: float, amps: float) -> None:
        """What a heavier load or a charger left behind dies away slowly."""
        passed = 0.0 if self._current_at is None else max(0.0, seconds - self._current_at)
        left = exp(-passed / self._slow_seconds)
        self._slow_load = max(-amps, self._slow_load * left)
        self._slow_charge = max(amps, self._slow_charge * left)

    def _ohms_of(self, cell_volts: float) -> float:
        """Ohms of the whole pack that take `cell_volts` of each cell at a load of the rated ampere-hours."""
        return self._pack.cells * cell_volts / self._pack.total_amp_hours


def _most_ohms(resistance: Resistance) -> float:
    return STEPS_DOUBT * max(0.0, resistance.ohms) + 2 * resistance.uncertainty_ohms
