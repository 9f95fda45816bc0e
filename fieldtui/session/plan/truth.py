"""The plan beside what came: the same quantities, planned and as the journal tells them. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil
from typing import Any, Literal

from msgspec import Struct

from fieldtui.session.contact_facts import whereabouts
from fieldtui.session.contacts import Contact
from fieldtui.session.plan.fold import PlanFold
from fieldtui.session.power import PowerView
from fieldtui.session.state import SessionState

Unit = Literal["h", "A", "%", "m", ""]

LEAST_SECONDS = 600.0
"""A session shorter than this says nothing of the average load or of the duty."""


class Truth(Struct, frozen=True):
    """One quantity in SI-like units (hours, amps as loads, percent, metres): planned and actual, None is not known.

    `planned_high` is there where the sun makes the plan an interval; `actual_low` and `actual_high` where the truth is
    an estimate, of which `actual` is the likeliest.
    """

    what: str
    unit: Unit
    planned: float | None
    actual: float | None
    planned_high: float | None = None
    actual_low: float | None = None
    actual_high: float | None = None


def plan_and_truth(state: SessionState, now: float | None = None) -> list[Truth]:
    """Give every quantity that the plan or the session knows; empty without a plan.

    `now` is in session seconds; left out, the last line of the journal. A closed session counts to its close.
    """
    plan = state.plan
    if plan.made is None:
        return []
    at = _end(state, now)
    begun = state.opened_moment.seconds if state.opened_moment else at
    seconds = max(0.0, state.timeline.between(begun, at))
    view = state.power.view(at, state.identification.sending_since)
    rows = [*_power_rows(plan, state, view, seconds), *_contact_rows(plan, state)]
    return [row for row in rows if row.planned is not None or row.actual is not None]


def _end(state: SessionState, now: float | None) -> float:
    if state.opened_moment is None:
        return 0.0
    if state.closed_moment is not None:
        return state.closed_moment.seconds
    last = state.last_moment.seconds if state.last_moment else 0.0
    return last if now is None else now


def _power_rows(plan: PlanFold, state: SessionState, view: PowerView, seconds: float) -> list[Truth]:
    made, battery = plan.made, state.battery
    if made is None:
        return []
    hours, long_enough = seconds / 3600, seconds >= LEAST_SECONDS
    covered = battery.covered_seconds
    amps = battery.out_amp_seconds / covered if covered >= LEAST_SECONDS else None
    duty = min(100.0, 100 * battery.transmit_seconds / seconds) if long_enough and battery.overs else None
    sending = -state.power.transmit_amps if state.power.transmit_amps is not None and battery.overs else None
    left, charge = view.hours if state.closed_moment is None else None, view.charge
    return [
        Truth("time on site", "h", plan.hours, hours if state.opened_moment else None),
        # Plans of earlier versions tell only the load with the way home in it.
        Truth("load on average", "A", made.average_amps if made.site_amps is None else made.site_amps, amps),
        Truth("load while sending", "A", made.transmit_amps, sending),
        Truth("share of the time sending", "%", made.duty_percent, duty),
        Truth(
            "charge by now",
            "%",
            _at_hour(plan, made.hour_percent, hours),
            view.best_percent,
            _at_hour(plan, made.hour_sun_percent, hours),
            *((charge.low_percent, charge.high_percent) if charge else ()),
        ),
        Truth(
            "pack lasts, from the start",
            "h",
            made.expected_hours,
            hours + left.best if left else None,
            made.expected_hours_sun,
            *((hours + left.low, hours + left.high) if left else ()),
        ),
    ]


def _at_hour(plan: PlanFold, percents: Sequence[float], hours: float) -> float | None:
    """Give the planned charge after so many hours, on straight lines between the ends of the planned parts."""
    made = plan.made
    if made is None or not percents:
        return None
    before, charge = 0.0, 100.0 if made.charge_percent is None else made.charge_percent
    for end, percent in zip(_part_ends(plan, len(percents)), percents, strict=True):
        if hours < end:
            # A line may say anything: no part begins after its end.
            share = (hours - before) / (end - before) if before < end else 1.0
            return charge + max(0.0, share) * (percent - charge)
        before, charge = end, percent
    return charge


def _part_ends(plan: PlanFold, count: int) -> Sequence[float]:
    """Give when each part of the plan ends, in hours: a part is shorter than one at the end, and at home."""
    made, on_air = plan.made, plan.hours
    if made is not None and len(made.hour_ends) == count:
        return made.hour_ends
    if on_air is None:
        return range(1, count + 1)
    parts = ceil(on_air)
    return [min(number, on_air) + max(0, number - parts) for number in range(1, count + 1)]


def _contact_rows(plan: PlanFold, state: SessionState) -> list[Truth]:
    """Compare distances of direct contacts with the horizon and the outermost ring."""
    made = plan.made
    if made is None:
        return []
    distances = [
        metres
        for one in state.contacts.standing()
        if _direct(one) and (metres := whereabouts(state, one).distance_m) is not None
    ]
    ring = max(made.ring_metres, default=0.0) or None
    rows = [Truth("farthest contact, horizon", "m", made.horizon_metres, max(distances, default=None))]
    if ring is not None:
        rows.append(Truth("farthest contact, last S1", "m", ring, max(distances, default=None)))
    if made.horizon_metres is not None and distances:
        beyond = sum(metres > made.horizon_metres for metres in distances)
        rows.append(Truth(f"beyond the horizon, of {len(distances)}", "", None, float(beyond)))
    return rows


def _direct(contact: Contact) -> bool:
    """Whether no repeater carried it: that one stands on another hill."""
    return contact.transmit_hertz in (None, contact.hertz)


def plan_summary(state: SessionState) -> dict[str, Any] | None:
    """The plan in the plain object that `fieldtui show --json` prints; None without one."""
    made = state.plan.made
    if made is None:
        return None
    told: dict[str, Any] = {name: _plain(getattr(made, name)) for name in made.__struct_fields__}
    told["hours"] = state.plan.hours
    told["paths"] = [
        {name: _plain(getattr(path, name)) for name in path.__struct_fields__} for path in state.plan.paths
    ]
    told["truth"] = [
        {
            "what": row.what,
            "unit": row.unit,
            "planned": _round(row.planned),
            "planned_high": _round(row.planned_high),
            "actual": _round(row.actual),
            "actual_low": _round(row.actual_low),
            "actual_high": _round(row.actual_high),
        }
        for row in plan_and_truth(state)
    ]
    return told


def _plain(value: object) -> object:
    return list(value) if isinstance(value, tuple) else value


def _round(value: float | None) -> float | None:
    return None if value is None else round(value, 3)
