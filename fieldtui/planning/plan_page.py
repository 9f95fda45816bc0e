"""Everything about an outing on one page: place, light, licence, reach, paths, exposure, energy, kit, cautions.

Nothing is calculated here: the subjects answer, each in its own module. What cannot be answered is told in one line
that names the key of the station file that would help.
"""

from __future__ import annotations

from datetime import timedelta

from msgspec import Struct
from msgspec.structs import replace

from fieldtui.planning.cell_light import Times, cautious_day, light_over, narrow_enough, sun_over
from fieldtui.planning.chain import Chain, chain_of
from fieldtui.planning.outing_power import Activity, OutingPower, outing_power
from fieldtui.planning.path import USUAL_ANTENNA_M
from fieldtui.planning.plan_parts import Asked, ChannelPart, GroundPart, PathPart, ReachPart
from fieldtui.planning.plan_reach import ground_part, path_parts, reach_part
from fieldtui.planning.tiles import TileFolder
from fieldtui.power.plan import Outing
from fieldtui.power.sun import Light, SunDay, sun_day
from fieldtui.radio.band_plan import usual_use
from fieldtui.radio.cautions import Caution, cautions, rider
from fieldtui.radio.channels.channel import Channel
from fieldtui.radio.exposure import Exposure, Sender, cautious_duty, exposure, limits
from fieldtui.radio.locator import locator_of
from fieldtui.radio.modes import mode_named
from fieldtui.radio.path.link import Radios
from fieldtui.radio.rules import IdentificationRule, identification_rule, with_interval
from fieldtui.radio.spurious import Spurious, spurious
from fieldtui.radio.us.privileges import Verdict, check_allowed
from fieldtui.radio.where.bands import band_problem
from fieldtui.radio.where.law import Law, law_of
from fieldtui.session.kit import KitFold, KitLine
from fieldtui.station.fields import Operator, Station

ASSUMED_WATTS = 10.0
"""For reach and paths of a station whose power is not known; it is said."""
EXPOSURE_LIMITS = "us"
"""The only set of limits that is known here; its label goes with every distance."""
MOST_SPAN = timedelta(days=5)


class Plan(Struct, frozen=True):
    """A whole plan. `lacking` tells what could not be answered, and the key that would help, one line each.

    Of a locator's cell `sun` holds the latest dawn and the earliest dusk, `sun_over` both ends of each event.

    `sun` is that of the day of the plan, `light` what is left of it on being home, or else at the end: of that day.
    """

    asked: Asked
    ground: GroundPart
    sun: SunDay
    light: Light
    channels: tuple[ChannelPart, ...]
    limits_label: str
    reach: ReachPart | None
    paths: tuple[PathPart, ...]
    chain: Chain | None
    power: OutingPower | None
    kit: tuple[KitLine, ...]
    cautions: tuple[Caution, ...]
    rider: str
    rule: IdentificationRule
    law: Law
    lacking: tuple[str, ...]
    sun_over: Times | None = None


def make_plan(
    asked: Asked, station: Station, tiles: TileFolder | None = None, kit: KitFold | None = None
) -> Plan:
    """Plan an outing with the station of a file.

    `kit` tells what is in the bag. Raises ValueError, in one line, for a place, a day or a span that cannot be.
    """
    _check(asked)
    law = _law(asked, station.operator)
    narrow_enough(asked.cell)
    sun = sun_day(asked.on, asked.lat_deg, asked.lon_deg)
    over = None if asked.cell is None else sun_over(asked.on, asked.cell)
    if over is not None:
        sun = cautious_day(sun, over)
    lacking: list[str] = []
    ground, no_ground = ground_part(asked, tiles, asked.start)
    if no_ground:
        lacking.append(f"ground: {no_ground}")
    elif tiles is None:
        lacking.append(
            "ground: no terrain; set folder under [terrain] in the station file, or give --terrain"
        )
    parts = tuple(_channel_part(asked, station, channel, law) for channel in asked.channels)
    lacking += _lacking_of(station, parts)
    chain = parts[0].chain if parts else None
    radios = _radios(parts[0].channel.receive_hertz, chain, lacking) if parts else None
    antenna_m = station.antenna.height_metres
    if antenna_m is None:
        antenna_m = USUAL_ANTENNA_M
        lacking.append(f"reach: set height_metres under [antenna]; {USUAL_ANTENNA_M:g} m is taken")
    power = _power(asked, station, lacking)
    return Plan(
        asked=asked,
        ground=ground,
        sun=sun,
        sun_over=over,
        light=_light(asked),
        channels=parts,
        limits_label=limits(EXPOSURE_LIMITS).label,
        reach=reach_part(asked, radios, antenna_m, ground) if radios else None,
        paths=path_parts(asked, radios, antenna_m, tiles) if radios else (),
        chain=chain,
        power=power,
        kit=(kit or KitFold()).lines(station.kit.items),
        cautions=cautions(),
        rider=rider(),
        rule=_rule(station.operator, law),
        law=law,
        lacking=tuple(dict.fromkeys(lacking)),
    )


def _check(asked: Asked) -> None:
    if not (-90 <= asked.lat_deg <= 90 and -180 <= asked.lon_deg <= 180):
        raise ValueError("latitude comes first, -90 to 90 degrees, then longitude, -180 to 180")
    if not asked.end > asked.start:
        raise ValueError("the outing ends before it begins: give more than 0 --hours")
    if (asked.home or asked.end) - asked.start > MOST_SPAN:
        raise ValueError(f"an outing of more than {MOST_SPAN.days} days is not planned: give fewer --hours")
    if not 0 <= asked.transmit_percent <= 100:
        raise ValueError(f"sending {asked.transmit_percent:g} % of the time is not possible: give 0 to 100")
    for what, percent in (("charge", asked.charge_percent), ("reserve", asked.reserve_percent)):
        if not 0 <= percent <= 100:
            raise ValueError(f"a {what} of {percent:g} % is not possible: give 0 to 100")


def _light(asked: Asked) -> Light:
    try:
        return light_over(asked.home or asked.end, (asked.lat_deg, asked.lon_deg), asked.cell)
    except ValueError as error:
        # The last day lies beyond the years that the sun is calculated for.
        return Light(None, str(error))


def _channel_part(asked: Asked, station: Station, channel: Channel, law: Law) -> ChannelPart:
    """Ask licence, bands, band plan, chain, exposure and harmonics about one channel."""
    hertz, area = channel.transmit_hertz, law.area.code if law.area else None
    against = band_problem(hertz, channel.mode, law.region, area)
    use = usual_use(hertz, law.region, area)
    part = ChannelPart(channel, None, use, None, None, None, against=against)
    try:
        chain = chain_of(station, hertz / 1e6, amplified=asked.amplified)
        part = replace(part, verdict=_verdict(asked, station.operator, channel, law), chain=chain)
        if chain.watts is None:
            return part
        duty, note = cautious_duty(mode_named(channel.mode).name, unprocessed=asked.unprocessed)
        found = _exposure(chain, duty)
        return replace(
            part, exposure=found, duty=duty, duty_note=note, spurious=_spurious(chain, chain.watts)
        )
    except ValueError as error:
        return replace(part, fault=str(error))


def _verdict(asked: Asked, operator: Operator, channel: Channel, law: Law) -> Verdict | None:
    if operator.licence is None or law.region is None or not law.under_us_rules:
        return None
    return check_allowed(
        channel.transmit_hertz,
        channel.mode,
        licence=operator.licence,
        region=law.region,
        lat_deg=asked.lat_deg,
        lon_deg=asked.lon_deg,
        # Of a locator no more is known than its cell; coordinates are a point.
        cell=asked.cell,
    )


def _exposure(chain: Chain, duty: float) -> Exposure:
    """Calculate as if sending all the time, with the least loss that the cable may have."""
    sender = Sender(chain.mhz, chain.watts or 0.0, chain.gain_dbi, chain.least_loss_db, duty)
    return exposure(sender, limits(EXPOSURE_LIMITS))


def _spurious(chain: Chain, watts: float) -> Spurious | None:
    if not chain.amplified or chain.suppression_db is None:
        return None
    return spurious(chain.mhz, watts, chain.suppression_db)


def _lacking_of(station: Station, parts: tuple[ChannelPart, ...]) -> list[str]:
    told = []
    if not parts:
        told.append("channels: none to plan with; name a frequency plan under [screen], or give --channels")
    if station.operator.licence is None:
        told.append("licence: licence not given: not checked; set licence under [operator]")
    if station.radio.watts is None and station.amplifier.watts is None:
        told.append("exposure, EIRP: set watts under [radio]")
    elif parts and parts[0].chain is not None:
        told += [f"station: {words}" for words in parts[0].chain.assumed]
        if parts[0].chain.amplified and parts[0].chain.suppression_db is None:
            told.append("harmonics: set suppression_db under [amplifier]")
    return told


def _radios(hertz: int, chain: Chain | None, lacking: list[str]) -> Radios | None:
    """Give the radios that reach and paths are calculated with; the far antenna counts as isotropic."""
    watts = chain.watts if chain else None
    if watts is None:
        watts = ASSUMED_WATTS
        lacking.append(f"reach: {ASSUMED_WATTS:g} W are taken until watts are set under [radio]")
    try:
        return Radios(
            hertz, watts, chain.gain_dbi if chain else 0.0, 0.0, min(100.0, chain.loss_db) if chain else 0.0
        )
    except ValueError as error:
        lacking.append(f"reach: {error}")
        return None


def _power(asked: Asked, station: Station, lacking: list[str]) -> OutingPower | None:
    channel = asked.channels[0] if asked.channels else None
    outing = Outing(
        asked.start, asked.end, asked.lat_deg, asked.lon_deg, asked.home, asked.charge_percent,
        asked.reserve_percent,
    )  # fmt: skip
    activity = Activity(asked.transmit_percent, amplified=asked.amplified)
    if channel is not None:
        activity = replace(activity, mode=channel.mode, mhz=channel.transmit_hertz / 1e6)
    try:
        found = outing_power(station, outing, activity)
    except ValueError as error:
        lacking.append(f"power: {error}")
        return None
    # What the chain assumes is told with the station.
    lacking += [f"power: {words}" for words in found.assumed if words not in found.chain.assumed]
    if station.panel.watts is None:
        lacking.append("sun: no panel; set watts under [panel]")
    return found


def _law(asked: Asked, operator: Operator) -> Law:
    """What holds at the place of the outing."""
    locator = asked.locator or locator_of(asked.lat_deg, asked.lon_deg, 8)
    return law_of(operator.region, operator.rule, locator, operator.call)


def _rule(operator: Operator, law: Law) -> IdentificationRule:
    rule = identification_rule(law.rule)
    if operator.interval_minutes is None:
        return rule
    try:
        return with_interval(rule, round(operator.interval_minutes * 60))
    except ValueError:
        # The file's interval is longer than the rule of this place allows.
        return rule
