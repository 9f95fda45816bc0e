"""What a voltage under load tells of the charge: not how much there is, but more than how much there cannot be.

At the terminals a pack under load shows its rested voltage less what the resistance takes, and less the slow part
that comes back only in minutes or hours. A generous bound on both gives a voltage above which the rested one cannot
lie. Nothing is ever said of the other end: a load pulls down what it likes.
"""

from __future__ import annotations

from math import exp

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


class Ceiling(Struct, frozen=True):
    """A rested voltage that the pack cannot exceed, and the lowest that it showed meanwhile, under load."""

    rested_volts: float
    loaded_volts: float


class CeilingWatch:
    """Feeds on the lines of a shunt; deterministic. A ceiling is told once it has held for `HELD_SECONDS` of them."""

    def __init__(self, pack: Pack) -> None:
        self._pack = pack
        plateau = pack.chemistry.plateau_cell_volts
        # Where the curve is flat, and above it, a voltage tells nothing: most lines end here.
        self.steep_below = pack.cells * plateau[0] if plateau else float("inf")
        self._light = LIGHT_LOAD_PART * pack.total_amp_hours
        self._slow_seconds = 60.0 * pack.chemistry.rest_minutes / 15
        self._slow_load = 0.0
        self._last: float | None = None
        self._loaded_at: float | None = None
        self._begin()

    def _begin(self) -> None:
        self._held, self._highest, self._lowest = 0.0, float("-inf"), float("inf")

    def take(
        self, seconds: float, volts: float, amps: float, *, sending: bool, resistance: Resistance | None
    ) -> Ceiling | None:
        """Take a line: session seconds, volts, amps (discharge negative)."""
        load = max(0.0, -amps)
        self._note_load(seconds, load)
        if sending or load > self._light:
            return None
        apart = 0.0 if self._last is None else seconds - self._last
        self._last = seconds
        rested = volts + load * self._ohms(resistance) + self._share(SLOW_CELL_VOLTS) * self._slow_load
        if rested >= self.steep_below:
            self._begin()
            return None
        self._held += apart if self._lowest < float("inf") and 0 <= apart <= MOST_APART_SECONDS else 0.0
        self._highest, self._lowest = max(self._highest, rested), min(self._lowest, volts)
        if self._held < HELD_SECONDS:
            return None
        ceiling = Ceiling(self._highest, self._lowest)
        self._begin()
        return ceiling

    def _note_load(self, seconds: float, load: float) -> None:
        """What a heavier load left behind dies away slowly."""
        passed = 0.0 if self._loaded_at is None else max(0.0, seconds - self._loaded_at)
        self._loaded_at = seconds
        self._slow_load = max(load, self._slow_load * exp(-passed / self._slow_seconds))

    def _ohms(self, resistance: Resistance | None) -> float:
        if resistance is None:
            return self._share(OHMIC_CELL_VOLTS)
        return STEPS_DOUBT * max(0.0, resistance.ohms) + 2 * resistance.uncertainty_ohms

    def _share(self, cell_volts: float) -> float:
        """Ohms of the whole pack that take `cell_volts` of each cell at a load of the rated ampere-hours."""
        return self._pack.cells * cell_volts / self._pack.total_amp_hours
