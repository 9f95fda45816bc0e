"""The energy of an outing, hour by hour: what the loads take, what the panel brings, what is left to get home.

Amps are loads, positive. A plan, not a measurement: every figure of the pack has a lowest and a highest value, and the
answer is the one that holds for the lowest.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from datetime import datetime, timedelta
from math import isfinite

from msgspec import Struct

from fieldtui.power.packs import Pack
from fieldtui.power.panel import Band, Panel
from fieldtui.power.runtime import drain_per_hour
from fieldtui.power.sun import CIVIL_ZENITH_DEG, clear_sky_wh_per_m2, daylight_hours, sun_position

HOUR = timedelta(hours=1)
MOST_HOURS = 120
LOAD_SPREAD = 0.1
"""How far a planned load is off either way (common practice, no source)."""

SECONDS_PER_HOUR = 3600.0
MOST_MARGIN_HOURS = 10_000.0
"""A margin is told no longer than this: a load of almost nothing lasts for ever."""


class Load(Struct, frozen=True):
    """Something that takes current: `amps` while it runs, and the share of the time that it runs, 0 to 1.

    `in_dark` runs only when it is darker than civil twilight; `on_the_way` runs on the way home as well.
    """

    name: str
    amps: float
    share: float = 1.0
    in_dark: bool = False
    on_the_way: bool = False

    @property
    def mean_amps(self) -> float:
        """Time-weighted mean while the load is planned at all."""
        return self.amps * self.share


class Outing(Struct, frozen=True):
    """What is planned: where, from when to when, and until when to be home; times with a zone, degrees north and east.

    `charge_percent` is how full the pack is at the start, `reserve_percent` what must stay in it.
    """

    start: datetime
    end: datetime
    lat_deg: float
    lon_deg: float
    home: datetime | None = None
    charge_percent: float = 100.0
    reserve_percent: float = 0.0


class Hour(Struct, frozen=True):
    """One hour of the plan, or the part of one: watt-hours taken and brought, and the charge at its end in percent.

    A charge below 0 is what is missing. `sun_hours` is how much of it the sun is up.
    """

    start: datetime
    end: datetime
    sun_hours: float
    load_watt_hours: float
    sun_watt_hours: Band
    charge_percent: Band
    dark: bool
    on_the_way: bool


class PowerPlan(Struct, frozen=True):
    """The whole outing. `floor_percent` is the charge that must stay in the pack.

    `margin_hours` is how much longer the pack would last down to that floor if the loads went on as they were on
    average, in each case with its own load; negative: how long before the end the floor is reached for good.
    `runs_out_at` is when the floor is reached in the lowest case, within an hour on a straight line; None when it is
    not. `verdict` is `enough` if it is not reached in the lowest case, `tight` if only in that one, else `not enough`.
    """

    hours: tuple[Hour, ...]
    sun_hours: float
    dark_hours: float
    load_watt_hours: float
    sun_watt_hours: Band
    floor_percent: float
    charge_percent: Band
    margin_watt_hours: Band
    margin_hours: Band
    runs_out_at: datetime | None
    verdict: str


def transmit_load(
    name: str, amps: float, resting_amps: float, transmit_percent: float, mode_share: float = 1.0
) -> Load:
    """Give the load of transmitting, above what the equipment takes at rest.

    `amps` at full power, `resting_amps` while receiving; `mode_share` is the mean power of a mode against its peak. The
    current of a voice in one sideband follows its power only in part, so the mean of the two is taken (common
    practice, no source); a carrier takes all of it.
    """
    if not 0 <= transmit_percent <= 100:
        raise ValueError(f"transmitting {transmit_percent:g} % of the time is not possible: give 0 to 100")
    if not 0 < mode_share <= 1:
        raise ValueError(f"a mode's share of {mode_share:g} is not possible: give more than 0 and at most 1")
    extra = max(0.0, amps - resting_amps) * (1 + mode_share) / 2
    return Load(name, extra, transmit_percent / 100)


def power_plan(outing: Outing, pack: Pack, loads: Sequence[Load], panel: Panel | None = None) -> PowerPlan:
    """Plan an outing. The panel works until `outing.end`; then it is packed, and only `on_the_way` loads go on.

    Lead-acid gives less at high currents (Peukert), each load with its own rate; what the panel brings beyond the load
    goes into the pack, which is never more than full. Raises ValueError, in one line, for what cannot be.
    """
    _check(outing, loads)
    usable = pack.usable_amp_hours() * pack.nominal_volts
    locked = 100 - 100 * usable / pack.watt_hours
    floor = max(locked, outing.reserve_percent)
    state = _State(pack, outing.charge_percent)
    hours = [state.step(part, loads, panel, outing) for part in _parts(outing)]
    falls = [_falls(floor, outing, hours, case) for case in _CASES]
    lowest, usual, _ = falls
    last = hours[-1].charge_percent
    margin = Band(*((charge - floor) / 100 * pack.watt_hours for charge in (last.low, last.best, last.high)))
    span = ((outing.home or outing.end) - outing.start) / HOUR
    sun_hours = sum(hour.sun_hours for hour in hours)
    return PowerPlan(
        hours=tuple(hours),
        sun_hours=sun_hours,
        dark_hours=span - sun_hours,
        floor_percent=floor,
        load_watt_hours=sum(hour.load_watt_hours for hour in hours),
        sun_watt_hours=sum((hour.sun_watt_hours for hour in hours), Band(0.0, 0.0, 0.0)),
        charge_percent=last,
        margin_watt_hours=margin,
        margin_hours=Band(
            *(
                _margin_hours(case(last) - floor, taken / span, below, hours[-1].end)
                for case, taken, below in zip(_CASES, state.taken, falls, strict=True)
            )
        ),
        runs_out_at=lowest[0] if lowest else None,
        verdict="enough" if not lowest else "tight" if not usual else "not enough",
    )


_CASES: tuple[Callable[[Band], float], ...] = (
    lambda band: band.low,
    lambda band: band.best,
    lambda band: band.high,
)


def _falls(
    floor: float, outing: Outing, hours: Sequence[Hour], case: Callable[[Band], float]
) -> list[datetime]:
    """Give when the charge of a case falls below the floor, on straight lines between the hours; there may be sun."""
    least, before = floor - 1e-9, outing.charge_percent
    falls = [outing.start] if before < least else []
    for hour in hours:
        after = case(hour.charge_percent)
        if after < least <= before:
            share = max(0.0, (before - floor) / (before - after))
            falls.append(hour.start + (hour.end - hour.start) * share)
        before = after
    return falls


def _margin_hours(
    spare_percent: float, percent_per_hour: float, falls: Sequence[datetime], end: datetime
) -> float:
    """Give how long what is above the floor lasts at a mean load, or else for how long it was below, negative."""
    if falls and spare_percent < -1e-9:
        return (falls[-1] - end) / HOUR
    if percent_per_hour > 0:
        return min(MOST_MARGIN_HOURS, spare_percent / percent_per_hour)
    return MOST_MARGIN_HOURS if spare_percent > 0 else 0.0


class _Part(Struct, frozen=True):
    start: datetime
    end: datetime
    on_the_way: bool


class _State:
    """The charge in percent in the lowest, the usual and the highest case, carried from part to part."""

    def __init__(self, pack: Pack, percent: float) -> None:
        self._pack = pack
        self._charge = [percent, percent, percent]
        self.taken = [0.0, 0.0, 0.0]
        """Percent of the pack that the loads took so far, what lead loses at high currents included."""

    def step(self, part: _Part, loads: Sequence[Load], panel: Panel | None, outing: Outing) -> Hour:
        span = (part.end - part.start).total_seconds() / SECONDS_PER_HOUR
        middle = part.start + (part.end - part.start) / 2
        sun = sun_position(middle, outing.lat_deg, outing.lon_deg)
        dark = sun.zenith_deg > CIVIL_ZENITH_DEG
        running = [load for load in loads if _runs(load, part, dark=dark)]
        brought = self._brought(part, panel, outing)
        cases = (
            (1 + LOAD_SPREAD, brought.low),
            (1.0, brought.best),
            (1 - LOAD_SPREAD, brought.high),
        )
        for case, (factor, watt_hours) in enumerate(cases):
            taken = self._percent_taken(running, factor, span)
            self.taken[case] += taken
            given = 100 * watt_hours / self._pack.watt_hours
            self._charge[case] = min(100.0, self._charge[case] - taken + given)
        mean = sum(load.mean_amps for load in running) * self._pack.nominal_volts
        lit = daylight_hours(part.start, part.end, outing.lat_deg, outing.lon_deg)
        return Hour(
            part.start, part.end, lit, mean * span, brought, Band(*self._charge), dark, part.on_the_way
        )

    def _brought(self, part: _Part, panel: Panel | None, outing: Outing) -> Band:
        if panel is None or part.on_the_way:
            return Band(0.0, 0.0, 0.0)
        sky = clear_sky_wh_per_m2(part.start, part.end, outing.lat_deg, outing.lon_deg)
        return panel.watt_hours(sky)

    def _percent_taken(self, running: Sequence[Load], factor: float, hours: float) -> float:
        """Give the charge that the loads take: those that run all the time together, others on top of them."""
        steady = sum(load.amps for load in running if load.share >= 1) * factor
        rate = drain_per_hour(self._pack, steady)
        for load in running:
            if load.share < 1:
                with_it = drain_per_hour(self._pack, steady + load.amps * factor)
                rate += load.share * (with_it - drain_per_hour(self._pack, steady))
        return 100 * rate * hours


def _runs(load: Load, part: _Part, *, dark: bool) -> bool:
    return (load.on_the_way or not part.on_the_way) and (dark or not load.in_dark)


def _parts(outing: Outing) -> Iterator[_Part]:
    for start, end, on_the_way in (
        (outing.start, outing.end, False),
        (outing.end, outing.home or outing.end, True),
    ):
        count = -(-(end - start) // HOUR)
        for number in range(count):
            yield _Part(start + number * HOUR, min(end, start + (number + 1) * HOUR), on_the_way)


def _check(outing: Outing, loads: Sequence[Load]) -> None:
    if not outing.end > outing.start:
        raise ValueError("the end of the outing lies before its beginning: give a later one")
    if outing.home is not None and outing.home < outing.end:
        raise ValueError("being home lies before the end of the outing: give a later time")
    if (outing.home or outing.end) - outing.start > MOST_HOURS * HOUR:
        raise ValueError(f"an outing of more than {MOST_HOURS} hours is not planned: give shorter ones")
    for what, percent in (("charge", outing.charge_percent), ("reserve", outing.reserve_percent)):
        if not 0 <= percent <= 100:
            raise ValueError(f"a {what} of {percent:g} % is not possible: give 0 to 100")
    for load in loads:
        if not (isfinite(load.amps) and 0 <= load.amps <= 1000):
            raise ValueError(f"{load.name}: a current of {load.amps:g} A is not possible: give 0 to 1000")
        if not 0 <= load.share <= 1:
            raise ValueError(
                f"{load.name}: {100 * load.share:g} % of the time is not possible: give 0 to 100"
            )
