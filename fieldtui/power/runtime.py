"""How long a pack lasts: average current at a duty, hours with an interval, and what a panel adds."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from math import ceil, floor, isfinite

from msgspec import Struct

from fieldtui.power.charge import ChargeBand
from fieldtui.power.packs import Pack, peukert_hours

PANEL_YIELD = 0.65
"""What a small folding panel on the ground gives of its rating in good sun: aim, heat and the controller take
the rest (common practice, no source: losses of 25 to 40 %, charge controller 0.95)."""

RATED_HOURS_LEAD = 20.0
"""Lead-acid capacity is rated at the 20 hour rate (battery data sheets)."""

MOST_HOURS = 10_000.0
MANY_HOURS = 99.0
"""Nobody plans so long ahead: more is days."""
TENTHS_BELOW_HOURS = 3.0


class Runtime(Struct, frozen=True):
    """An estimate for planning. Amps here are loads, positive. `hours_with_sun` None: no panel was given."""

    amp_hours: float
    usable_amp_hours: float
    average_amps: float
    hours: float
    hours_with_sun: float | None
    sun_carries_load: bool


class HoursLeft(Struct, frozen=True):
    """Hours left: at least, most likely, at most."""

    low: float
    best: float
    high: float

    def words(self, *, short: bool = False) -> str:
        """Say the interval, its low end first and rounded down, its high end up: `7 to 17 h left`.

        `short` is for small panes: `7-17 h left`. Below 3 h with one decimal.
        """
        if self.low >= MANY_HOURS:
            return "days left"
        low, high = _rounded(self.low, floor), _rounded(self.high, ceil)
        if self.high >= MANY_HOURS:
            return f"{low} h to days left"
        if low == high:
            return f"{low} h left"
        return f"{low}-{high} h left" if short else f"{low} to {high} h left"


def average_amps(parts: Sequence[tuple[float, float]]) -> float:
    """Give the time-weighted mean of (time, amps) parts: sum(t I) / sum(t). Any unit of time."""
    total = sum(time for time, _ in parts)
    if not total > 0 or any(time < 0 for time, _ in parts):
        raise ValueError("the parts of a duty need times of 0 or more, and one above 0")
    return sum(time * amps for time, amps in parts) / total


def duty_amps(receive_amps: float, transmit_amps: float, transmit_percent: float) -> float:
    """Give the mean load when `transmit_percent` of the time is spent transmitting; amps as loads, positive."""
    if not 0 <= transmit_percent <= 100:
        raise ValueError(f"transmitting {transmit_percent:g} % of the time is not possible: give 0 to 100")
    share = transmit_percent / 100
    return average_amps([(share, transmit_amps), (1 - share, receive_amps)])


def hours_at(usable_amp_hours: float, load_amps: float) -> float:
    """Give usable ampere-hours over mean load, at most `MOST_HOURS`."""
    if load_amps <= 0:
        return MOST_HOURS
    return min(usable_amp_hours / load_amps, MOST_HOURS)


def duty_fraction(
    spans: Iterable[tuple[float, float]], now_seconds: float, window_seconds: float = 1800.0
) -> float:
    """Give the share of the last `window_seconds` that lies in the (start, end) spans of transmissions."""
    begin = now_seconds - window_seconds
    sent = sum(max(0.0, min(end, now_seconds) - max(start, begin)) for start, end in spans)
    return min(1.0, sent / window_seconds)


def _rounded(hours: float, towards: Callable[[float], int]) -> str:
    """Whole hours, tenths below three; what a float holds too much or too little is not a reason to round on."""
    if hours < TENTHS_BELOW_HOURS:
        tenths = towards(round(10 * hours, 6)) / 10
        return f"{tenths:.1f}" if 0 < tenths < TENTHS_BELOW_HOURS else f"{tenths:.0f}"
    return f"{towards(round(hours, 6))}"


def hours_left(pack: Pack, charge: ChargeBand, best_percent: float, load_amps: float) -> HoursLeft:
    """Give the hours left at a mean load, with the interval that the charge has and 10 % of load either way."""
    reserve = 100 - pack.chemistry.usable_percent

    def hours(percent: float, load: float) -> float:
        return hours_at(max(0.0, percent - reserve) / 100 * pack.total_amp_hours, load)

    return HoursLeft(
        hours(charge.low_percent, load_amps * 1.1),
        hours(best_percent, load_amps),
        hours(charge.high_percent, load_amps * 0.9),
    )


def plan(
    pack: Pack,
    receive_amps: float,
    *,
    transmit_amps: float = 0.0,
    transmit_percent: float = 0.0,
    panel_watts: float | None = None,
    usable_percent: float | None = None,
) -> Runtime:
    """Plan the hours of a full pack at a duty. Amps are loads, positive; the panel counts as sun all the time.

    Lead-acid gives less at a high current (Peukert); a load below the rated one is not credited with more.
    Raises ValueError, with the remedy, for negative or impossible numbers.
    """
    _check_load("receive", receive_amps)
    _check_load("transmit", transmit_amps)
    mean = duty_amps(receive_amps, transmit_amps, transmit_percent)
    if mean <= 0:
        raise ValueError("the load is 0 A: give the amps of receive, or of transmit with its percentage")
    usable = pack.usable_amp_hours(usable_percent)
    share = transmit_percent / 100
    parts = [(share, transmit_amps), (1 - share, receive_amps)]
    hours = min(_hours(pack, usable, parts), MOST_HOURS)
    with_sun, carried = _with_panel(pack, usable, parts, panel_watts)
    return Runtime(pack.total_amp_hours, usable, mean, hours, with_sun, carried)


def _hours(pack: Pack, usable: float, parts: Sequence[tuple[float, float]]) -> float:
    """Give the hours for shares of time at loads, each load with its own Peukert rate."""
    rate = sum(share * drain_per_hour(pack, load) for share, load in parts if share > 0)
    return usable / pack.total_amp_hours / rate if rate > 0 else MOST_HOURS


def drain_per_hour(pack: Pack, load: float) -> float:
    """Give the share of the whole capacity that one hour at this load takes."""
    capacity, exponent = pack.total_amp_hours, pack.chemistry.peukert_exponent
    if load <= capacity / RATED_HOURS_LEAD or exponent == 1.0:
        return max(load, 0.0) / capacity
    return 1 / peukert_hours(capacity, RATED_HOURS_LEAD, load, exponent)


def _with_panel(
    pack: Pack, usable: float, parts: Sequence[tuple[float, float]], panel_watts: float | None
) -> tuple[float | None, bool]:
    """Give the hours with a panel in the sun, and whether it carries the whole mean load."""
    if panel_watts is None:
        return None, False
    if not (isfinite(panel_watts) and panel_watts >= 0):
        raise ValueError(f"a panel of {panel_watts:g} W is not possible: give its rating, 0 or more")
    gives = panel_watts * PANEL_YIELD / pack.nominal_volts
    mean = average_amps(parts)
    if gives >= mean:
        return MOST_HOURS, True
    lighter = [(share, max(0.0, load - gives)) for share, load in parts]
    spared = mean - average_amps(lighter)
    # What the panel gives beyond a light load goes back into the pack.
    rate = sum(share * drain_per_hour(pack, load) for share, load in lighter if share > 0)
    rate -= (gives - spared) / pack.total_amp_hours
    return (min(usable / pack.total_amp_hours / rate, MOST_HOURS) if rate > 0 else MOST_HOURS), False


def _check_load(what: str, amps: float) -> None:
    if not (isfinite(amps) and 0 <= amps <= 1000):
        raise ValueError(f"a {what} current of {amps:g} A is not possible: give the amps drawn, 0 or more")
