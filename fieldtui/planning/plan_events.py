"""A plan as lines of a journal: what is worth comparing with what came, and nothing else."""

from __future__ import annotations

from datetime import datetime, timedelta

from msgspec.structs import replace

from fieldtui.journal.event_types import Event
from fieldtui.journal.plan_events import KitTicked, PathPlanned, PlanMade
from fieldtui.journal.rfc3339 import to_nearest_second
from fieldtui.planning.path import USUAL_ANTENNA_M
from fieldtui.planning.plan_page import Plan
from fieldtui.planning.plan_parts import PathPart
from fieldtui.planning.plan_values import average_amps, site_amps
from fieldtui.planning.profile import TerrainProfile
from fieldtui.planning.profile_lines import span_steps

MOST_CHANNELS = 100
MOST_PATHS = 20
PROFILE_POINTS = 240
"""Of ground in a line of the journal: a picture shows no more, and a ridge keeps its height."""


def plan_events(plan: Plan, made_at: datetime) -> list[Event]:
    """Give the plan, its paths, and its kit list with the ticks, in this order."""
    paths = [_path(part) for part in plan.paths[:MOST_PATHS]]
    kit = [KitTicked(item=line.item, packed=line.packed) for line in plan.kit]
    return [_with_hours(_made(plan, made_at), plan), *paths, *kit]


def _made(plan: Plan, made_at: datetime) -> PlanMade:
    asked, sun, chain, reach = plan.asked, plan.sun, plan.chain, plan.reach
    exposed = [part.exposure.keep_m for part in plan.channels if part.exposure]
    rings = {ring.s_units: ring.distance_m for ring in reach.rings} if reach else {}
    return PlanMade(
        on=asked.on.isoformat(),
        begins_at=to_nearest_second(asked.start) or "",
        ends_at=to_nearest_second(asked.end) or "",
        # Not to the nearest second: a session that begins within that second would seem to come before its plan.
        made_at=to_nearest_second(made_at.replace(microsecond=0)),
        place=asked.place,
        locator=asked.locator,
        lat_deg=round(asked.lat_deg, 6),
        lon_deg=round(asked.lon_deg, 6),
        ground_metres=_round(plan.ground.ground_m, 1),
        antenna_metres=(chain.height_metres if chain else None) or USUAL_ANTENNA_M,
        sunrise_at=to_nearest_second(sun.sunrise),
        sunset_at=to_nearest_second(sun.sunset),
        dusk_at=to_nearest_second(sun.dusk),
        sun_note=sun.note or None,
        channels_hertz=tuple(part.channel.receive_hertz for part in plan.channels[:MOST_CHANNELS]),
        watts=chain.watts if chain else None,
        loss_db=_round(chain.loss_db, 2) if chain and chain.watts is not None else None,
        eirp_watts=_round(chain.eirp_watts, 3) if chain else None,
        keep_metres=_round(max(exposed), 2) if exposed else None,
        horizon_metres=_round(reach.horizon_m, 0) if reach else None,
        # A strength that is nowhere reached keeps its place in the list.
        ring_metres=tuple(round(rings.get(units, 0.0)) for units in range(9, 0, -1)) if rings else (),
        receive_amps=chain.receive_amps if chain else None,
        transmit_amps=chain.transmit_amps if chain else None,
        duty_percent=asked.transmit_percent,
    )


def _with_hours(made: PlanMade, plan: Plan) -> PlanMade:
    """Add how long the pack lasts, hour by hour."""
    power, asked = plan.power, plan.asked
    if power is None:
        return made
    span = ((asked.home or asked.end) - asked.start).total_seconds() / 3600
    dark, sunny = power.without_sun, power.with_sun
    made = replace(
        made,
        pack_amp_hours=power.pack.total_amp_hours,
        charge_percent=asked.charge_percent,
        average_amps=round(average_amps(plan), 3),
        site_amps=round(site_amps(plan), 3),
        expected_hours=round(max(0.0, span + dark.margin_hours.best), 2),
        margin_hours=round(dark.margin_hours.low, 2),
        verdict=dark.verdict,
        hour_percent=tuple(round(hour.charge_percent.best, 1) for hour in dark.hours),
        hour_ends=tuple(round((hour.end - asked.start) / timedelta(hours=1), 4) for hour in dark.hours),
    )
    if sunny is dark:
        return made
    return replace(
        made,
        expected_hours_sun=round(max(0.0, span + sunny.margin_hours.best), 2),
        hour_sun_percent=tuple(round(hour.charge_percent.best, 1) for hour in sunny.hours),
    )


def _path(part: PathPart) -> PathPlanned:
    way, reckoning = part.path.way, part.path.reckoning
    profile = reckoning.profile if reckoning else None
    return PathPlanned(
        to=part.far.name,
        distance_metres=round(way.distance_m, 1),
        bearing_deg=_round(way.bearing_deg, 2),
        hertz=part.hertz,
        line_of_sight=reckoning.line_of_sight if reckoning else None,
        low=reckoning.low.text if reckoning and not reckoning.no_strength else None,
        high=reckoning.high.text if reckoning and not reckoning.no_strength else None,
        height_metres=round(reckoning.height1_m, 1) if reckoning else None,
        height_there_metres=round(reckoning.height2_m, 1) if reckoning else None,
        ground_metres=_thinned(profile) if profile else (),
    )


def _thinned(profile: TerrainProfile) -> tuple[float, ...]:
    """Give the highest ground around each of equal steps; the ends as they are."""
    heights = profile.heights_m
    if len(heights) <= PROFILE_POINTS:
        return tuple(round(height, 1) for height in heights)
    inner = [max(heights[low : high + 1]) for low, high in span_steps(len(heights) - 1, PROFILE_POINTS)]
    return tuple(round(height, 1) for height in (heights[0], *inner[1:-1], heights[-1]))


def _round(value: float | None, digits: int) -> float | None:
    return None if value is None else round(value, digits)
