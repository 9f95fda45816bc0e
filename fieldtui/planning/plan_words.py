"""A plan in words: short phrases that the page in the terminal and the page in the browser share."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

from fieldtui.planning.plan_page import Plan
from fieldtui.planning.plan_parts import ChannelPart, PathPart
from fieldtui.planning.plan_values import average_amps, site_amps
from fieldtui.power.panel import Band
from fieldtui.radio.declination import Declination
from fieldtui.radio.frequency import format_megahertz
from fieldtui.radio.geodesy import compass_point
from fieldtui.radio.privileges import Verdict
from fieldtui.radio.rules import IdentificationRule
from fieldtui.radio.spurious import Spurious
from fieldtui.radio.units import format_distance, rounded_up

UNTIL_NEVER = "none"


def clock(at: datetime | None, on: date) -> str:
    """A UTC time to the minute, with its date where that is another day."""
    if at is None:
        return UNTIL_NEVER
    utc = (at.astimezone(UTC) + timedelta(seconds=30)).replace(second=0, microsecond=0)
    if utc.date() == on:
        return f"{utc:%H:%M}"
    return f"{utc:%H:%M} next day" if utc.date() - on == timedelta(days=1) else f"{utc:%H:%M on %Y-%m-%d}"


def span_words(span: timedelta) -> str:
    """Hours and minutes: `4 h 30`."""
    minutes = round(abs(span).total_seconds() / 60)
    return f"{minutes // 60} h {minutes % 60:02d}"


def place_words(plan: Plan) -> str:
    """Name, locator and coordinates."""
    asked = plan.asked
    coordinates = f"{asked.lat_deg:.4f}, {asked.lon_deg:.4f}"
    return ", ".join(filter(None, (asked.place, asked.locator, coordinates)))


def compass_words(compass: Declination) -> str:
    """How far the needle is off, and which way."""
    if not compass.compass_reliable:
        return "no help here: the horizontal field is too weak"
    way = "west" if compass.declination_deg < 0 else "east"
    dated = "" if compass.in_date else "; the date is outside the model's years"
    return (
        f"points {abs(compass.declination_deg):.1f} degrees {way} of true north, "
        f"give or take {compass.uncertainty_deg:.1f}{dated}"
    )


def light_words(plan: Plan) -> str:
    """Whether it is still light at the end, or on being home."""
    asked, left = plan.asked, plan.light.left
    if left is None:
        return plan.light.note
    what = "being home" if asked.home else "the end"
    if left >= timedelta(0):
        return f"{span_words(left)} of light left after {what}"
    return f"DARK: {what} is {span_words(left)} after dusk: take a lamp"


def allowed_words(verdict: Verdict | None) -> str:
    """One word for the table."""
    if verdict is None:
        return "not checked"
    return {True: "allowed", False: "NOT ALLOWED", None: "depends"}[verdict.allowed]


def most_watts_words(part: ChannelPart) -> str:
    """The power that the rule allows, how it is measured, and whether the station is above it."""
    verdict = part.verdict
    if verdict is None or verdict.max_watts is None:
        return ""
    most = f"at most {verdict.max_watts:g} W {verdict.measure}"
    if not part.too_much_power:
        return most
    yours = rounded_up(part.measured_watts or 0.0, 2)
    return f"{most}; YOUR {yours:g} W {verdict.measure} ARE TOO MUCH"


def verdict_why(part: ChannelPart) -> str:
    """Why the licence does not allow it, or what the place does to a yes."""
    verdict = part.verdict
    if verdict is None:
        return ""
    return verdict.note if verdict.allowed else verdict.why


def channel_title(part: ChannelPart) -> str:
    """Frequency, mode and name; both frequencies of a repeater."""
    channel = part.channel
    send = f" (send {format_megahertz(channel.transmit_hertz)})" if channel.shift_hertz else ""
    return f"{format_megahertz(channel.receive_hertz)}{send} {channel.mode}, {channel.name}"


def keep_words(part: ChannelPart) -> str:
    """The distance that everyone keeps, rounded up."""
    found = part.exposure
    if found is None:
        return ""
    metres = rounded_up(found.keep_m, 1)
    near = "" if found.verdict_possible else " (near field: nothing is proved closer)"
    return f"{metres:.1f} m{near}"


def spurious_words(found: Spurious) -> str:
    """Whether the harmonics are weak enough, and the filter that it takes otherwise."""
    if found.within is None:
        return "the law names no figure: keep them as low as good practice makes them"
    needed = rounded_up(found.filter_db_needed or 0.0, 0)
    limit = f"the limit is {rounded_up(found.limit.below_db or 0.0, 1):g} dB below the signal ({found.limit.source})"
    if found.within:
        return f"weak enough: {limit}"
    return f"TOO STRONG: a low-pass filter of {needed:.0f} dB or more is needed; {limit}"


def path_words(part: PathPart) -> list[str]:
    """Distance, bearing, sight and strength, a phrase each."""
    way, reckoning = part.path.way, part.path.reckoning
    if reckoning is None or way.bearing_deg is None:
        return ["one and the same place"]
    sight = "in line of sight" if reckoning.line_of_sight else "beyond line of sight"
    low, high = reckoning.low.text, reckoning.high.text
    strength = low if low == high else f"{low} to {high}"
    tight = reckoning.clearance
    ground = "over a smooth earth"
    if part.over_terrain:
        ground = "over the terrain"
        if tight is not None and tight.metres < 0:
            ground = f"the ground stands {-tight.metres:.0f} m into the line at {format_distance(tight.at_m)}"
    return [
        f"{format_distance(way.distance_m)}, {way.bearing_deg:.0f} degrees true, {compass_point(way.bearing_deg)}",
        f"{sight}, {ground}",
        f"{strength} expected",
    ]


def band_words(band: Band, unit: str) -> str:
    """Best, with lowest and highest."""
    return f"{band.best:.0f} {unit} ({band.low:.0f} to {band.high:.0f})"


def pack_words(plan: Plan) -> str:
    """The pack, how full it is at the start, and what must stay in it."""
    power = plan.power
    if power is None:
        return ""
    floor = power.without_sun.floor_percent
    stays = f"; {floor:.0f} % must stay in it" if floor > 0 else ""
    return (
        f"{power.pack.total_amp_hours:g} Ah, {power.pack.watt_hours:.0f} Wh, "
        f"{plan.asked.charge_percent:g} % full at the start{stays}"
    )


def loads_words(plan: Plan) -> str:
    """What the pack feeds, each on average while it is planned at all."""
    if plan.power is None:
        return ""
    loads = [
        f"{load.name} {load.mean_amps:.2f} A{' in the dark' if load.in_dark else ''}"
        for load in plan.power.loads
    ]
    chain, asked = plan.chain, plan.asked
    full = "" if chain is None or chain.transmit_amps is None else f", then {chain.transmit_amps:g} A in all"
    whole = f" ({average_amps(plan):.2f} A with the way home)" if asked.home else ""
    return (
        f"on average {', '.join(loads)}; sending {asked.transmit_percent:g} % of the time{full}; "
        f"together {site_amps(plan):.2f} A on site{whole}"
    )


def verdict_words(plan: Plan) -> tuple[str, str]:
    """Whether the pack is enough, without and with the sun."""
    power = plan.power
    if power is None:
        return "", ""
    told = []
    for one in (power.without_sun, power.with_sun):
        words = one.verdict if one.verdict == "enough" else one.verdict.upper()
        down_to = f"down to {one.floor_percent:.0f} %" if one.floor_percent > 0 else "empty"
        ends = (
            f", {down_to} by {clock(one.runs_out_at, plan.asked.on)} UTC in the lowest case"
            if one.runs_out_at
            else ""
        )
        told.append(f"{words}{ends}")
    return told[0], told[1]


def rule_words(rule: IdentificationRule) -> str:
    """When the call is to be given."""
    parts = []
    if rule.id_at_start:
        parts.append("at the beginning")
    if rule.interval_seconds:
        parts.append(f"at least every {rule.interval_seconds / 60:g} minutes")
    if rule.id_at_end:
        parts.append(f"at the end of each {rule.unit}")
    when = ", ".join(parts) or "as your licence says"
    return f"give your call {when} (rule: {rule.name}, {rule.source}); your licence and the rule in force win"
