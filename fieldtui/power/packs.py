"""Packs: what a battery of cells holds, alone, side by side and in a row, and the limits it lives within."""

from __future__ import annotations

from collections.abc import Sequence
from math import isfinite

from msgspec import Struct
from msgspec.structs import replace

from fieldtui.power.tables import Chemistry, chemistries, chemistry

__all__ = [
    "Chemistry", "Pack", "chemistries", "chemistry", "in_parallel", "in_series", "make_pack", "peukert_hours",
    "wrong_system",
]  # fmt: skip

MOST_CELLS = 32
MOST_AMP_HOURS = 10_000.0


class Pack(Struct, frozen=True):
    """A battery of `cells` in series, `amp_hours` for each string, `parallel` equal strings side by side."""

    chemistry: Chemistry
    amp_hours: float
    cells: int
    parallel: int = 1

    @property
    def total_amp_hours(self) -> float:
        """Rated capacity of all strings together, in ampere-hours."""
        return self.amp_hours * self.parallel

    @property
    def nominal_volts(self) -> float:
        """Nominal volts of the whole pack."""
        return self.cells * self.chemistry.nominal_cell_volts

    @property
    def watt_hours(self) -> float:
        """Rated energy, in watt-hours: ampere-hours times nominal volts."""
        return self.total_amp_hours * self.nominal_volts

    @property
    def charge_volts(self) -> float:
        """Volts at the end of charging; no healthy pack of this kind shows much more."""
        return self.cells * self.chemistry.limits.charge_cell_volts

    @property
    def warn_volts(self) -> float:
        """Volts under load at which to warn."""
        return self.cells * self.chemistry.limits.warn_cell_volts

    @property
    def cutoff_volts(self) -> float:
        """Volts at which the discharge ends, by the protection board or for the sake of the pack."""
        return self.cells * self.chemistry.limits.cutoff_cell_volts

    def usable_amp_hours(self, usable_percent: float | None = None) -> float:
        """Give the ampere-hours to plan with: the given share of the rated ones, or the chemistry's usual."""
        percent = self.chemistry.usable_percent if usable_percent is None else usable_percent
        if not 0 < percent <= 100:
            raise ValueError(
                f"usable charge of {percent:g} % makes no sense: give more than 0 and at most 100"
            )
        return self.total_amp_hours * percent / 100

    def rested_volts_at(self, charge_percent: float) -> float:
        """Give the rested volts to expect at a charge: the median of the published curves."""
        volts = sorted(curve.volts_at(charge_percent) for curve in self.chemistry.curves)
        middle = len(volts) // 2
        cell = volts[middle] if len(volts) % 2 else (volts[middle - 1] + volts[middle]) / 2
        return cell * self.cells


def make_pack(name: str, amp_hours: float, cells: int | None = None, parallel: int = 1) -> Pack:
    """Make a pack from a chemistry's name. `cells` left out is the number usual for about 12 V.

    Raises ValueError, in one line that tells the remedy, for an unknown chemistry or an impossible number.
    """
    kind = chemistry(name)
    cells = kind.usual_cells if cells is None else cells
    if not isfinite(amp_hours) or not 0 < amp_hours <= MOST_AMP_HOURS:
        raise ValueError(
            f"a capacity of {amp_hours:g} Ah is not possible: give what is printed on one pack, such as 16"
        )
    if not 1 <= cells <= MOST_CELLS:
        raise ValueError(
            f"{cells} cells in series is not possible: give 1 to {MOST_CELLS}, usually {kind.usual_cells}"
        )
    if parallel < 1:
        raise ValueError(f"{parallel} packs side by side is not possible: give 1 or more")
    return Pack(kind, amp_hours, cells, parallel)


def in_parallel(packs: Sequence[Pack]) -> Pack:
    """Join packs side by side: capacities add. They must be of one chemistry and one number of cells.

    Raises ValueError otherwise: unlike packs side by side drive currents into each other.
    """
    first = _alike(packs, "side by side")
    if any(pack.cells != first.cells for pack in packs):
        raise ValueError("packs side by side need the same number of cells: do not connect these")
    return replace(first, amp_hours=sum(pack.total_amp_hours for pack in packs), parallel=1)


def in_series(packs: Sequence[Pack]) -> Pack:
    """Join packs in a row: volts add, the smallest capacity counts. They must be of one chemistry."""
    first = _alike(packs, "in a row")
    smallest = min(pack.total_amp_hours for pack in packs)
    return replace(first, amp_hours=smallest, cells=sum(pack.cells for pack in packs), parallel=1)


def peukert_hours(rated_amp_hours: float, rated_hours: float, amps: float, exponent: float) -> float:
    """Give the hours to empty at a constant current: t = H (C / (I H))^k.

    `rated_amp_hours` C is the capacity at the `rated_hours` H rate, `amps` a positive load. W. Peukert, 1897, in
    the rated-hour form; at the rated current the answer is the rated time.
    """
    for what, value in (("capacity", rated_amp_hours), ("rated time", rated_hours), ("current", amps)):
        if not value > 0:
            raise ValueError(f"a {what} of {value:g} is not possible: give more than 0")
    if exponent < 1:
        raise ValueError(f"a Peukert exponent of {exponent:g} is not possible: 1.0 to 1.3 is usual")
    return rated_hours * float((rated_amp_hours / (amps * rated_hours)) ** exponent)


def wrong_system(pack: Pack, volts: float) -> str | None:
    """Say so when a voltage cannot come from this pack, such as a 24 V system on a 12 V station file."""
    kind = pack.chemistry
    if volts > 1.12 * pack.charge_volts:
        return _mismatch(pack, volts, "most", pack.charge_volts)
    if 0.5 < volts < 0.6 * pack.cutoff_volts and any(cells < pack.cells for cells in kind.usual_packs):
        return _mismatch(pack, volts, "least", pack.cutoff_volts)
    return None


def _mismatch(pack: Pack, volts: float, bound: str, limit: float) -> str:
    kind = pack.chemistry
    fits = [
        cells
        for cells in kind.usual_packs
        if cells * kind.limits.cutoff_cell_volts <= volts <= 1.12 * cells * kind.limits.charge_cell_volts
    ]
    remedy = (
        f"if the pack has {fits[0]} cells, set cells = {fits[0]}"
        if fits
        else "check the pack and its chemistry"
    )
    if bound == "most":
        remedy = f"disconnect the charger; {remedy}"
    return f"{volts:.1f} V is not a {pack.cells}-cell {kind.name} pack (at {bound} {limit:.1f} V): {remedy}"


def _alike(packs: Sequence[Pack], how: str) -> Pack:
    if not packs:
        raise ValueError("no pack given: name one at least")
    if any(pack.chemistry.name != packs[0].chemistry.name for pack in packs):
        names = " and ".join(sorted({pack.chemistry.name for pack in packs}))
        raise ValueError(f"{names} must not be joined {how}: use packs of one chemistry")
    return packs[0]
