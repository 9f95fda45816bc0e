"""How full the pack is, as an honest interval: from a rested voltage, and from counting."""

from __future__ import annotations

from msgspec import Struct

from fieldtui.power.packs import Pack
from fieldtui.power.rest_bounds import RestBounds
from fieldtui.power.tables import Chemistry, chemistry

SECONDS_PER_HOUR = 3600.0
LEAST_POINTS = 3.0
"""No voltage tells a charge better than this (common practice, no source)."""
METER_PART = 0.005
"""How far a meter may be off, as a part of the volts (common practice, no source)."""
GAP_CHARGE_PART = 0.5
"""What a charger that nobody saw may have given, as a part of the ampere-hours in one hour (common practice: what
chargers for small packs give; no source)."""
GAP_LOAD_PART = 0.05
"""The least load to allow for in a gap, in the same way: before much was seen (common practice, no source)."""
TIME_LOST = "the clock was lost in a restart: what ran meanwhile is not known, read the rested volts"
CONTRADICTED = "the voltage contradicts the count: capacity or start may be wrong"


class ChargeBand(Struct, frozen=True):
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
        raise ValueError(
            f"{cells} cells in series is not possible: give 1 or more, usually {found.usual_cells}"
        )
    cell = volts / cells
    _check_cell(found, cells, volts)
    low, high = _percents(found, cell)
    return ChargeBand(low, high, _note(found, cell))


def _percents(kind: Chemistry, cell: float) -> tuple[float, float]:
    """Give both ends of the band. For a day of readings this runs a thousand times: it makes no words."""
    low, high, spread = 100.0, 0.0, kind.spread_cell_volts
    begins = ends = False
    for curve in kind.curves:
        low = min(low, curve.percent_at(cell - spread))
        high = max(high, curve.percent_at(cell + spread))
        begins = begins or cell < curve.cell_volts[0]
        ends = ends or cell > curve.cell_volts[-1]
    if begins or cell <= kind.curves[0].cell_volts[0]:
        low = 0.0  # a table that begins above empty says nothing below its first row
    if ends:
        high = 100.0
    if kind.on_plateau(cell):
        low, high = _at_least(low, high, kind.plateau_least_points)
    low, high = _at_least(low, high, LEAST_POINTS)
    return round(low, 1), round(high, 1)


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
    if all(cell > curve.cell_volts[-1] + kind.spread_cell_volts for curve in kind.curves):
        return "more than a full pack shows at rest: disconnect the charger and let it rest, then read again"
    rested = f"rested {kind.rest_minutes} min at least" if kind.rest_minutes < 120 else "rested overnight"
    if kind.on_plateau(cell):
        return f"{rested}; the curve is flat here: a voltage cannot tell more, count from a full charge"
    if kind.name == "agm":
        return f"{rested}; published tables differ by 25 points at the same voltage"
    return f"{rested}, without load or charger"


def _check_cell(kind: Chemistry, cells: int, volts: float) -> None:
    """Refuse what is no such pack, and what no such pack shows at rest."""
    cell, most = volts / cells, kind.limits.charge_cell_volts
    if not 0.3 * kind.nominal_cell_volts <= cell <= 1.2 * most:
        usual = " or ".join(str(number) for number in kind.usual_packs)
        raise ValueError(
            f"{volts:g} V is not a {cells}-cell {kind.name} pack: check the voltage, the chemistry and the number "
            f"of cells (usually {usual})"
        )
    if cell > (1 + METER_PART) * most + kind.spread_cell_volts:
        raise ValueError(
            f"{volts:g} V is not a rested {kind.name} pack of {cells} cells, whose charge ends at {cells * most:g} V: "
            "disconnect the charger, let it rest; if it stays so high it is overcharged, keep away if it swells"
        )


class ChargeEstimator:
    """Keeps an interval for the charge of a pack through a session: counted, and corrected where that is honest.

    The start may be stated by the operator (`start_percent`, give or take `start_within`), or unknown: then it is
    anything until a voltage in a steep region narrows it. Counting widens the interval by the tolerance of the
    rated capacity, by the shunt's offset, and by gaps: over those anything may have run, from a charger that nobody
    saw to the largest load that was seen. A gap of unknown length leaves nothing known.
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
            raise ValueError(f"a charge of {start_percent:g} % is not possible: give 0 to 100")
        self.pack = pack
        self._capacity_tolerance = capacity_tolerance
        self._offset_amps = offset_amps
        self._now = self._anchor = _Totals(0.0, 0.0, 0.0, 0.0, 0.0, 0)
        self._shunt: float | None = None
        self._bounds: dict[float, tuple[float, float]] = {}
        """What voltages say: there are some hundreds of `STEP_VOLTS` that a pack can show."""
        if start_percent is None:
            self._known = ChargeBand(0.0, 100.0, "charge at the start is not known")
        else:
            self._known = ChargeBand(
                _clip(start_percent - start_within), _clip(start_percent + start_within), ""
            )
        self._best = start_percent

    def count(
        self,
        amp_hours_net: float,
        covered_seconds: float,
        gap_seconds: float = 0.0,
        *,
        load_amps: float = 0.0,
        charge_amps: float = 0.0,
        times_lost: int = 0,
    ) -> None:
        """Take the running totals of a counter: net ampere-hours out, seconds counted, seconds in gaps.

        `load_amps` and `charge_amps` are the largest that went on for a while, both positive; `times_lost` counts gaps
        of unknown length.
        """
        self._now = _Totals(amp_hours_net, covered_seconds, gap_seconds, load_amps, charge_amps, times_lost)

    def rested(self, volts: float) -> ChargeBand:
        """Take a rested voltage. Where the curve is steep it narrows the interval; where it is flat, hardly."""
        return self._combine(self._seen(volts))

    def metered(self, volts: float, sag_volts: float = 0.2) -> ChargeBand:
        """Take a voltage from a meter, under a load unknown but light: rested it would be up to `sag_volts` more.

        Without a shunt nothing counts between two readings: what was known before bounds only from above.
        """
        low, high = self._seen(volts).low_percent, self._bound(volts + sag_volts)[1]
        before = self.estimate()
        note = "from a meter, not rested"
        if self._now.covered_seconds > self._anchor.covered_seconds:
            return self._combine(ChargeBand(low, high, note))
        if before.high_percent >= low:
            high = min(high, before.high_percent)
        return self._settle(ChargeBand(low, high, note))

    def limit(self, bounds: RestBounds) -> None:
        """Take bounds on the rested voltage: there cannot be more charge than fits the upper one.

        Charge that is counted wholly above it, or wholly below what fits the lower one, contradicts the voltage: then
        the high end is where the voltage has it, and the doubt is said. The low end never rises.
        """
        most, (low, high) = self._most_at(bounds.at_most), self._ends()
        least = 0.0
        if bounds.at_least is not None and (most < low or high < 100):
            least = self._bound(bounds.at_least)[0]
        if most < low:
            self._settle(ChargeBand(min(low, least), most, CONTRADICTED))
        elif most < high:
            self._settle(ChargeBand(low, most, self._known.note))
        elif least > high:
            self._settle(ChargeBand(low, most, CONTRADICTED))

    def _most_at(self, volts: float) -> float:
        """The most charge that fits a rested voltage of at most so much; where the curve is flat it says nothing."""
        flat = self.pack.chemistry.on_plateau(volts / self.pack.cells)
        return 100.0 if flat else self._bound(volts)[1]

    def _seen(self, volts: float) -> ChargeBand:
        return charge_from_rest(self.pack.chemistry, self.pack.cells, volts)

    def _bound(self, volts: float) -> tuple[float, float]:
        """What a bound on the rested voltage says, which may lie above all that a pack rests at."""
        known = self._bounds.get(volts)
        if known is None:
            at_rest = min(volts, max(self.pack.charge_volts, volts / 1.2))
            _check_cell(self.pack.chemistry, self.pack.cells, at_rest)
            known = self._bounds[volts] = _percents(self.pack.chemistry, at_rest / self.pack.cells)
        return known

    def shunt_says(self, percent: float | None) -> None:
        """Take the shunt's own state of charge: a candidate inside the interval, never more."""
        self._shunt = percent if percent is not None and 0 <= percent <= 100 else None

    def full(self) -> ChargeBand:
        """Take it that the pack has just been charged full."""
        self._best = 100.0
        return self._settle(ChargeBand(97.0, 100.0, ""), 100.0)

    def estimate(self) -> ChargeBand:
        """Give the interval now, in percent of the rated capacity."""
        low, high = self._ends()
        notes = [self._known.note]
        gap = self._now.gap_seconds - self._anchor.gap_seconds
        if gap > 0:
            notes.append(f"{_minutes(gap)} without data since this count of charge began are not counted")
        if self._time_lost:
            notes.append(TIME_LOST)
        if self._shunt is not None and not low <= self._shunt <= high:
            notes.append(f"the shunt itself says {self._shunt:.0f} %")
        return ChargeBand(low, high, "; ".join(note for note in notes if note))

    def _ends(self) -> tuple[float, float]:
        """Give both ends of the interval now, without the words."""
        if self._time_lost:
            return 0.0, 100.0
        least, most = self._drawn_bounds()
        return _clip(self._known.low_percent - most), _clip(self._known.high_percent - least)

    def best_percent(self) -> float:
        """Give one figure: the shunt's own if possible, else the start less what was counted, else the middle."""
        low, high = self._ends()
        if self._shunt is not None and low <= self._shunt <= high:
            return self._shunt
        if self._best is None:
            return (low + high) / 2
        drawn = self._now.amp_hours_net - self._anchor.amp_hours_net
        counted = self._best - 100 * drawn / self.pack.total_amp_hours
        return min(max(counted, low), high)

    def _combine(self, seen: ChargeBand) -> ChargeBand:
        """Join what was counted with what a voltage shows: both hold, or the doubt is said."""
        before = self.estimate()
        low, high = max(before.low_percent, seen.low_percent), min(before.high_percent, seen.high_percent)
        if low <= high:
            return self._settle(ChargeBand(low, high, "" if before.width == 100 else self._known.note))
        low, high = min(before.low_percent, seen.low_percent), max(before.high_percent, seen.high_percent)
        return self._settle(ChargeBand(low, high, CONTRADICTED))

    def _settle(self, known: ChargeBand, best: float | None = None) -> ChargeBand:
        """Go on from here: what is known now, and counting begins again."""
        if best is None and self._best is not None:
            best = min(max(self.best_percent(), known.low_percent), known.high_percent)
        self._known, self._best, self._anchor = known, best, self._now
        return self.estimate()

    @property
    def _time_lost(self) -> bool:
        return self._now.times_lost > self._anchor.times_lost

    def _drawn_bounds(self) -> tuple[float, float]:
        """Give the points of charge drawn since the anchor, at least and at most."""
        now, then = self._now, self._anchor
        drawn = now.amp_hours_net - then.amp_hours_net
        covered = now.covered_seconds - then.covered_seconds
        offset = self._offset_amps * covered / SECONDS_PER_HOUR
        gap_hours = (now.gap_seconds - then.gap_seconds) / SECONDS_PER_HOUR
        average = SECONDS_PER_HOUR * max(0.0, drawn) / covered if covered > 0 else 0.0
        capacity = self.pack.total_amp_hours
        out = gap_hours * max(now.load_amps, average, GAP_LOAD_PART * capacity)
        back = gap_hours * max(now.charge_amps, GAP_CHARGE_PART * capacity)
        one, other = drawn / (1 - self._capacity_tolerance), drawn / (1 + self._capacity_tolerance)
        points = 100 / capacity
        scale = points / (1 - self._capacity_tolerance)
        least = (min(one, other) - offset) * points - back * scale
        return least, (max(one, other) + offset) * points + out * scale


class _Totals(Struct, frozen=True):
    """Running totals of a counter."""

    amp_hours_net: float
    covered_seconds: float
    gap_seconds: float
    load_amps: float
    charge_amps: float
    times_lost: int


def _minutes(seconds: float) -> str:
    return f"{seconds:.0f} s" if seconds < 90 else f"{seconds / 60:.0f} min"


def _clip(percent: float) -> float:
    return min(max(percent, 0.0), 100.0)
