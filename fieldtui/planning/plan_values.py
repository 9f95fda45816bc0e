"""A plan as one plain object for scripts: SI units, UTC, None for what could not be told."""

from __future__ import annotations

from typing import Any

from fieldtui.journal.rfc3339 import to_nearest_second
from fieldtui.planning.cell_light import within_cell
from fieldtui.planning.chain import Chain
from fieldtui.planning.plan_page import Plan
from fieldtui.planning.plan_parts import ChannelPart, PathPart, ReachPart
from fieldtui.power.panel import Band
from fieldtui.power.plan import Hour, PowerPlan
from fieldtui.radio.exposure import two_transmitters
from fieldtui.radio.local_time import local_of


def plan_values(plan: Plan) -> dict[str, Any]:
    """Everything that the page tells."""
    asked = plan.asked
    return {
        "on": asked.on.isoformat(),
        "begins_at": to_nearest_second(asked.start),
        "ends_at": to_nearest_second(asked.end),
        "home_at": to_nearest_second(asked.home),
        "local": _local(plan),
        "place": _place(plan),
        "sun": _sun(plan),
        "channels": [_channel(part) for part in plan.channels],
        "reach": _reach(plan.reach),
        "paths": [_path(part) for part in plan.paths],
        "station": _station(plan.chain),
        "power": _power(plan),
        "kit": [{"item": line.item, "packed": line.packed} for line in plan.kit],
        "cautions": [{"topic": each.topic, "text": each.text} for each in plan.cautions],
        "cautions_rider": plan.rider,
        "limits": plan.limits_label,
        "two_transmitters": two_transmitters() if any(part.exposure for part in plan.channels) else None,
        "identification": {
            "rule": plan.rule.name,
            "assumed_from": plan.law.rule_from or None,
            "interval_seconds": plan.rule.interval_seconds,
            "source": plan.rule.source,
        },
        "region": plan.law.region,
        "region_assumed_from": plan.law.region_from or None,
        "country": plan.law.area.name if plan.law.area else None,
        "lacking": list(plan.lacking),
    }


def _place(plan: Plan) -> dict[str, Any]:
    asked, ground = plan.asked, plan.ground
    return {
        "name": asked.place,
        "locator": asked.locator,
        "lat_deg": round(asked.lat_deg, 6),
        "lon_deg": round(asked.lon_deg, 6),
        "uncertainty_m": round(asked.uncertainty_m, 1),
        "ground_m": _round(ground.ground_m, 1),
        "height_m": asked.height_m,
        "declination_deg": round(ground.compass.declination_deg, 3),
        "declination_uncertainty_deg": round(ground.compass.uncertainty_deg, 2),
        "compass_reliable": ground.compass.compass_reliable,
    }


def _local(plan: Plan) -> dict[str, str | None]:
    """The times that are planned by the wall clock, with its offset from UTC."""
    asked, sun = plan.asked, plan.sun
    times = {
        "begins_at": asked.start, "ends_at": asked.end, "home_at": asked.home,
        "sunset": sun.sunset, "dusk": sun.dusk,
    }  # fmt: skip
    return {
        name: None if at is None else local_of(at, asked.zone).isoformat(timespec="seconds")
        for name, at in times.items()
    }


def _sun(plan: Plan) -> dict[str, Any]:
    sun, left = plan.sun, plan.light.left
    return {
        "dawn": to_nearest_second(sun.dawn),
        "sunrise": to_nearest_second(sun.sunrise),
        "noon": to_nearest_second(sun.noon),
        "sunset": to_nearest_second(sun.sunset),
        "dusk": to_nearest_second(sun.dusk),
        "note": sun.note or None,
        "within_cell": within_cell(plan.sun_over),
        "light_left_seconds": None if left is None else round(left.total_seconds()),
    }


def _channel(part: ChannelPart) -> dict[str, Any]:
    channel, verdict, found, harmonics = part.channel, part.verdict, part.exposure, part.spurious
    return {
        "name": channel.name,
        "hertz": channel.receive_hertz,
        "transmit_hertz": channel.transmit_hertz,
        "mode": channel.mode,
        "allowed": verdict.allowed if verdict else None,
        "why": part.fault or (verdict.why if verdict else None),
        "max_watts": verdict.max_watts if verdict else None,
        "measure": verdict.measure if verdict else None,
        "measured_watts": _round(part.measured_watts, 4),
        "too_much_power": part.too_much_power,
        "band_problem": part.against or None,
        "usual_use": part.usual_use,
        "eirp_watts": _round(part.chain.eirp_watts, 4) if part.chain else None,
        "loss_db": _round(part.chain.loss_db, 3) if part.chain else None,
        "keep_m": _round(found.keep_m, 3) if found else None,
        "distance_general_m": _round(found.general.distance_m, 3) if found else None,
        "distance_controlled_m": _round(found.controlled.distance_m, 3) if found else None,
        "duty": part.duty,
        "duty_note": part.duty_note or None,
        "verdict_possible": found.verdict_possible if found else None,
        "harmonics_within": harmonics.within if harmonics else None,
        "filter_db_needed": _round(harmonics.filter_db_needed, 3) if harmonics else None,
    }


def _reach(reach: ReachPart | None) -> dict[str, Any] | None:
    if reach is None:
        return None
    return {
        "hertz": reach.hertz,
        "height_m": round(reach.height_m, 1),
        "height_there_m": round(reach.height_there_m, 1),
        "level": reach.level,
        "horizon_m": round(reach.horizon_m, 1),
        "rings": [{"s_units": ring.s_units, "distance_m": round(ring.distance_m, 1)} for ring in reach.rings],
    }


def _path(part: PathPart) -> dict[str, Any]:
    way, reckoning = part.path.way, part.path.reckoning
    told = reckoning if reckoning and not reckoning.no_strength else None
    spread = reckoning.spread if reckoning else None
    return {
        "to": part.far.name,
        "lat_deg": round(part.far.lat_deg, 6),
        "lon_deg": round(part.far.lon_deg, 6),
        "hertz": part.hertz,
        "distance_m": round(way.distance_m, 1),
        "bearing_deg": _round(way.bearing_deg, 3),
        "over_terrain": part.over_terrain,
        "line_of_sight": reckoning.line_of_sight if reckoning else None,
        "distance_uncertainty_m": round(part.path.uncertainty_m, 1),
        "distance_low_m": round(spread.nearest_m, 1) if spread else None,
        "distance_high_m": round(spread.farthest_m, 1) if spread else None,
        "bearing_uncertainty_deg": _round(part.path.bearing_uncertainty_deg, 2),
        "line_of_sight_varies": spread.sight_varies if spread else False,
        "received_dbm": round(told.dbm, 2) if told else None,
        "uncertainty_db": round(told.uncertainty_db, 1) if told else None,
        "s_units_low": told.low.s_units if told else None,
        "s_units_high": told.high.s_units if told else None,
        "no_strength_because": (reckoning.no_strength or None) if reckoning else None,
        "notes": [*([part.note] if part.note else []), *(reckoning.notes if reckoning else ())],
    }


def _station(chain: Chain | None) -> dict[str, Any] | None:
    if chain is None:
        return None
    return {
        "mhz": chain.mhz,
        "amplified": chain.amplified,
        "watts": chain.watts,
        "loss_db": round(chain.loss_db, 3),
        "watts_at_antenna": _round(chain.watts_at_antenna, 4),
        "gain_dbi": chain.gain_dbi,
        "eirp_watts": _round(chain.eirp_watts, 4),
        "transmit_amps": chain.transmit_amps,
        "receive_amps": chain.receive_amps,
    }


def _power(plan: Plan) -> dict[str, Any] | None:
    power = plan.power
    if power is None:
        return None
    sunny = power.with_sun is not power.without_sun
    return {
        "amp_hours": power.pack.total_amp_hours,
        "watt_hours": round(power.pack.watt_hours, 2),
        "transmit_percent": plan.asked.transmit_percent,
        "average_amps": round(average_amps(plan), 4),
        "site_amps": round(site_amps(plan), 4),
        "loads": [{"name": load.name, "mean_amps": round(load.mean_amps, 4)} for load in power.loads],
        "without_sun": _supply(power.without_sun),
        "with_sun": _supply(power.with_sun) if sunny else None,
    }


def average_amps(plan: Plan) -> float:
    """The mean load of the outing in amps, positive, the way home in it; 0 without a power plan."""
    power = plan.power
    if power is None:
        return 0.0
    hours = ((plan.asked.home or plan.asked.end) - plan.asked.start).total_seconds() / 3600
    return power.without_sun.load_watt_hours / power.pack.nominal_volts / hours


def site_amps(plan: Plan) -> float:
    """The mean load on site in amps, positive, the way home left out; 0 without a power plan."""
    power = plan.power
    if power is None:
        return 0.0
    on_site = [hour for hour in power.without_sun.hours if not hour.on_the_way]
    hours = sum((hour.end - hour.start).total_seconds() for hour in on_site) / 3600
    taken = sum(hour.load_watt_hours for hour in on_site)
    return taken / power.pack.nominal_volts / hours if hours > 0 else 0.0


def _supply(supply: PowerPlan) -> dict[str, Any]:
    return {
        "verdict": supply.verdict,
        "floor_percent": round(supply.floor_percent, 2),
        "load_watt_hours": round(supply.load_watt_hours, 3),
        "sun_watt_hours": _band(supply.sun_watt_hours),
        "charge_percent": _band(supply.charge_percent),
        "margin_watt_hours": _band(supply.margin_watt_hours),
        "margin_hours": _band(supply.margin_hours),
        "runs_out_at": to_nearest_second(supply.runs_out_at),
        "hours": [_hour(hour) for hour in supply.hours],
    }


def _hour(hour: Hour) -> dict[str, Any]:
    return {
        "start": to_nearest_second(hour.start),
        "end": to_nearest_second(hour.end),
        "load_watt_hours": round(hour.load_watt_hours, 3),
        "sun_watt_hours": _band(hour.sun_watt_hours),
        "charge_percent": _band(hour.charge_percent),
        "dark": hour.dark,
        "on_the_way": hour.on_the_way,
    }


def _band(band: Band) -> dict[str, float]:
    return {"low": round(band.low, 3), "best": round(band.best, 3), "high": round(band.high, 3)}


def _round(value: float | None, digits: int) -> float | None:
    return None if value is None else round(value, digits)
