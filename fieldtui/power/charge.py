"""How full the pack is, as an honest interval: from a rested voltage, and from counting."""

from __future__ import annotations

from dataclasses import dataclass

from fieldtui.power.packs import Pack
from fieldtui.power.tables import Chemistry, chemistry

SECONDS_PER_HOUR = 3600.0


@dataclass(frozen=True, slots=True)
class ChargeBand:
    """A state of charge between two percentages, and what to know about it."""

    low_percent: float
    high_percent: float
    note: str

    @property
    def width(self) -> float:
        """Points of charge between the two ends."""
        return self.high_percent - self.low_percent


def charge_from_rest(kind: str | Chemistry, cells: int, volts: float) -> ChargeBand:
    """Give the band of charge that a rested voltage allows.

    `volts` of the whole pack of `cells` in series, rested as long as the chemistry needs (half an hour for
    lithium, a night for lead), no load and no charger. The band spans every published curve, widened by what one
    cell rests apart after charge and discharge. Raises ValueError for an unknown chemistry or an impossible voltage.
    """
    found = chemistry(kind) if isinstance(kind, str) else kind
    if cells < 1:
        raise ValueError(f"{cells} cells in series cannot be: give 1 or more, usually {found.usual_cells}")
    cell = volts / cells
    _check_cell(found, cells, volts)
    spread = found.spread_cell_volts
    low = min(curve.percent_at(cell - spread) for curve in found.curves)
    high = max(curve.percent_at(cell + spread) for curve in found.curves)
    if cell <= found.curves[0].cell_volts[0] or any(cell < curve.cell_volts[0] for curve in found.curves):
        low = 0.0  # a table that begins above empty says nothing below its first row
    if any(cell > curve.cell_volts[-1] for curve in found.curves):
        high = 100.0
    if found.on_plateau(cell):
        low, high = _at_least(low, high, found.plateau_least_points)
    return ChargeBand(round(low, 1), round(high, 1), _note(found, cell))


def _at_least(low: float, high: float, points: float) -> tuple[float, float]:
    """Widen a band to a least width, evenly as far as 0 and 100 allow."""
    lacking = max(0.0, points - (high - low))
    low, high = low - lacking / 2, high + lacking / 2
    if high > 100:
        low, high = low - (high - 100), 100.0
    if low < 0:
        low, high = 0.0, min(100.0, high - low)
    return low, high


def _note(kind: Chemistry, cell: float) -> str:
    rested = f"rested {kind.rest_minutes} min at least" if kind.rest_minutes < 120 else "rested overnight"
    if kind.on_plateau(cell):
        return f"{rested}; the curve is flat here: a voltage cannot tell more, count from a full charge"
    if kind.name == "agm":
        return f"{rested}; published tables differ by 25 points at the same voltage"
    return f"{rested}, without load or charger"


def _check_cell(kind: Chemistry, cells: int, volts: float) -> None:
    cell = volts / cells
    if not 0.3 * kind.nominal_cell_volts <= cell <= 1.2 * kind.limits.charge_cell_volts:
        usual = " or ".join(str(number) for number in kind.usual_packs)
        raise ValueError(
            f"{volts:g} V is not a {cells}-cell {kind.name} pack: check the voltage, the chemistry and the number "
            f"of cells (usually {usual})"
        )


class ChargeEstimator:
    """Keeps an interval for the charge of a pack through a session: counted, and corrected where that is honest.

    The start may be stated by the operator (`start_percent`, give or take `start_within`), or unknown: then it is
    anything until a rested voltage in a steep region narrows it. Counting widens the interval by the tolerance of
    the rated capacity, by the shunt's offset, and by gaps, over which anything up to the average load may have run.
    """

    def __init__(
        self,
        pack: Pack,
        start_percent: float | None = None,
        start_within: float = 5.0,
        *,
        capacity_tolerance: float = 0.10,
        offset_amps: float = 0.02,
    ) -> None:
        if start_percent is not None and not 0 <= start_percent <= 100:
            raise ValueError(f"a charge of {start_percent:g} % cannot be: give 0 to 100")
        self.pack = pack
        self._capacity_tolerance = capacity_tolerance
        self._offset_amps = offset_amps
        self._low, self._high = 0.0, 100.0
        self._best = start_percent
        if start_percent is not None:
            self._low, self._high = _clip(start_percent - start_within), _clip(start_percent + start_within)
        self._anchor = (0.0, 0.0, 0.0)
        self._now = (0.0, 0.0, 0.0)
        self._shunt: float | None = None
        self._note = "" if start_percent is not None else "charge at the start is not known"

    def count(self, amp_hours_net: float, covered_seconds: float, gap_seconds: float = 0.0) -> None:
        """Take the running totals of a counter: net ampere-hours out, seconds counted, seconds in gaps."""
        self._now = (amp_hours_net, covered_seconds, gap_seconds)

    def rested(self, volts: float) -> ChargeBand:
        """Take a rested voltage. Where the curve is steep it narrows the interval; where it is flat, hardly."""
        seen = charge_from_rest(self.pack.chemistry, self.pack.cells, volts)
        before = self.estimate()
        low, high = max(before.low_percent, seen.low_percent), min(before.high_percent, seen.high_percent)
        if low <= high:
            self._set_anchor(low, high, before.note)
        else:
            low, high = min(before.low_percent, seen.low_percent), max(before.high_percent, seen.high_percent)
            self._set_anchor(low, high, "the rested voltage contradicts the count: capacity or start may be wrong")
        return self.estimate()

    def shunt_says(self, percent: float | None) -> None:
        """Take the shunt's own state of charge: a candidate inside the interval, never more."""
        self._shunt = percent if percent is not None and 0 <= percent <= 100 else None

    def full(self) -> None:
        """Take it that the pack has just been charged full."""
        self._best = 100.0
        self._set_anchor(97.0, 100.0, "")

    def estimate(self) -> ChargeBand:
        """Give the interval now, in percent of the rated capacity."""
        drawn, least, most = self._change()
        low = _clip(self._low - most)
        high = _clip(self._high - least)
        note = self._note
        gap = self._now[2] - self._anchor[2]
        if gap > 0:
            note = "; ".join(part for part in (note, f"{gap / 60:.0f} min without data are not counted") if part)
        if self._shunt is not None and not low <= self._shunt <= high:
            note = "; ".join(part for part in (note, f"the shunt itself says {self._shunt:.0f} %") if part)
        del drawn
        return ChargeBand(low, high, note)

    def best_percent(self) -> float:
        """Give one figure: the shunt's own if it is possible, else the stated start less the count, else the middle."""
        band = self.estimate()
        if self._shunt is not None and band.low_percent <= self._shunt <= band.high_percent:
            return self._shunt
        if self._best is not None:
            counted = self._best - 100 * self._now[0] / self.pack.total_amp_hours
            return min(max(counted, band.low_percent), band.high_percent)
        return (band.low_percent + band.high_percent) / 2

    def _change(self) -> tuple[float, float, float]:
        """Give the points of charge drawn since the anchor: as counted, at least, at most."""
        drawn, covered, gap = (now - then for now, then in zip(self._now, self._anchor, strict=True))
        capacity = self.pack.total_amp_hours
        offset = self._offset_amps * covered / SECONDS_PER_HOUR
        average = max(0.0, drawn) / covered if covered > 0 else 0.0
        in_gaps = average * gap
        tolerance = self._capacity_tolerance
        bounds = sorted((drawn / (1 - tolerance), drawn / (1 + tolerance)))
        least, most = bounds[0] - offset, bounds[1] + offset + in_gaps
        return 100 * drawn / capacity, 100 * least / capacity, 100 * most / capacity

    def _set_anchor(self, low: float, high: float, note: str) -> None:
        if self._best is not None:
            self._best = self._best if self._best == 100.0 and high == 100.0 else None
        self._low, self._high, self._note = low, high, note
        self._anchor = self._now


def _clip(percent: float) -> float:
    return min(max(percent, 0.0), 100.0)
