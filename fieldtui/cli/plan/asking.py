"""From the options of `fieldtui plan` and the station file to what is asked."""

from __future__ import annotations

import argparse
from datetime import UTC, date, datetime, timedelta, tzinfo
from math import isfinite
from pathlib import Path

from fieldtui.cli.calc.ground import ground_of
from fieldtui.cli.calc.radio import open_metres, read_place
from fieldtui.cli.output import safe
from fieldtui.cli.station_loading import LoadedStation, load_station, own_plan, plan_of
from fieldtui.cli.units import unit_of
from fieldtui.journal.plan_events import KitTicked
from fieldtui.journal.waiting_plan import waiting_events
from fieldtui.planning.plan_page import Plan, make_plan
from fieldtui.planning.plan_parts import Asked, FarStation
from fieldtui.power.sun import day_span, solar_date
from fieldtui.radio.channels.channel import Channel
from fieldtui.radio.channels.plan import Plan as ChannelPlan
from fieldtui.radio.frequency import FrequencyError, format_megahertz, read_megahertz
from fieldtui.radio.local_time import next_time, zone_or_machine
from fieldtui.radio.locator import cell_of, is_locator, locator_of, read_locator
from fieldtui.radio.outside_text import clean_text
from fieldtui.session.kit import KitFold
from fieldtui.session.plan.fold import carried
from fieldtui.session.timeline import Moment

MOST_USUAL = 8
"""Channels that are planned when none are named."""
MOST_FAR, MOST_CHANNELS = 20, 50
LONGEST_NAME = 40
MOST_HOURS = 120.0
_SIDEBAND_BELOW_HERTZ = 29_000_000
_USUAL_HERTZ = 144_000_000, 148_000_000
_BEFORE_NOON = timedelta(hours=2)


def planned(options: argparse.Namespace, kept_in: Path) -> tuple[Plan, list[str]]:
    """Give the plan, and what is wrong with the station file. `kept_in` tells what of the kit is ticked off.

    Raises ValueError in one line for a wrong option.
    """
    loaded = load_station(options.station)
    ground = ground_of(options, loaded)
    plan = make_plan(_asked(options, loaded), loaded.station, ground.tiles, _kit_of(kept_in))
    return plan, [notice for notice in ("" if ground.usual else ground.note, loaded.notice) if notice]


def _kit_of(path: Path) -> KitFold:
    """Give what was ticked off in the file of the plan."""
    kit = KitFold()
    never = Moment(0.0, datetime(1970, 1, 1, tzinfo=UTC), "", 0)
    for event in carried(waiting_events(path)):
        if isinstance(event, KitTicked):
            kit.on_ticked(event, never)
    return kit


def _asked(options: argparse.Namespace, loaded: LoadedStation) -> Asked:
    station = loaded.station
    words = " ".join(options.place) or station.place.locator
    if words is None:
        raise ValueError("give a PLACE, a locator or LAT,LON, or set locator in the station file")
    lat_deg, lon_deg = read_place(words)
    on = options.on or solar_date(datetime.now(UTC), lon_deg)
    zone = zone_or_machine(station.screen.zone)
    start, end = _span(options, on, lat_deg, lon_deg, zone)
    locator = read_locator(words).locator if is_locator(words.strip()) else locator_of(lat_deg, lon_deg, 8)
    named = station.place.name if not options.place or _same(words, station.place.locator) else None
    return Asked(
        lat_deg=lat_deg,
        lon_deg=lon_deg,
        on=on,
        start=start,
        end=end,
        channels=_channels(options, own_plan(None, loaded) or plan_of(loaded.law(locator))),
        place=named,
        locator=locator,
        uncertainty_m=open_metres(words),
        far=tuple(_far(text) for text in options.to[: MOST_FAR + 1]),
        home=next_time(options.home, end, zone) if options.home else None,
        height_m=options.height_m,
        transmit_percent=options.transmit_percent,
        charge_percent=options.charge,
        reserve_percent=options.reserve,
        amplified=False if options.no_amplifier else None,
        unprocessed=options.unprocessed,
        unit=unit_of(options, loaded),
        zone=zone,
    )


def _same(words: str, locator: str | None) -> bool:
    return locator is not None and words.strip().casefold() == locator.casefold()


def _span(
    options: argparse.Namespace, on: date, lat_deg: float, lon_deg: float, zone: tzinfo | None
) -> tuple[datetime, datetime]:
    """Give the hours on the air, within the solar day of the place."""
    if not (isfinite(options.hours) and 0 < options.hours <= MOST_HOURS):
        raise ValueError(
            f"{options.hours:g} hours cannot be planned: give more than 0 and at most {MOST_HOURS:g}"
        )
    begin, _ = day_span(on, lat_deg, lon_deg)
    if options.start is not None:
        start = next_time(options.start, begin, zone)
    else:
        usual = begin + timedelta(hours=12) - _BEFORE_NOON
        start = usual.replace(minute=0, second=0, microsecond=0)
    return start, start + timedelta(hours=options.hours)


def _channels(options: argparse.Namespace, plan: ChannelPlan) -> tuple[Channel, ...]:
    if options.channels is None:
        calling = [channel for channel in plan.channels if channel.purpose == "calling"]
        # Reach, paths and power are those of the first one: where most stations listen, if the plan has it.
        return tuple(
            sorted(calling or plan.channels, key=lambda channel: not _is_usual(channel))[:MOST_USUAL]
        )
    words = [word.strip() for word in options.channels.split(",") if word.strip()]
    if not words or len(words) > MOST_CHANNELS:
        raise ValueError(f"--channels takes 1 to {MOST_CHANNELS} channels with commas, such as 145.25,432.2")
    return tuple(_channel(word, plan) for word in words)


def _is_usual(channel: Channel) -> bool:
    low, high = _USUAL_HERTZ
    return channel.mode == "FM" and low <= channel.transmit_hertz <= high


def _channel(word: str, plan: ChannelPlan) -> Channel:
    """Give a channel of the plan by number or name, or one for a bare frequency."""
    known = plan.find(word)
    if known is not None:
        return known
    try:
        hertz = read_megahertz(word)
    except FrequencyError:
        raise ValueError(
            f"there is no channel {safe(word)[:30]!a}: give its number or name in the frequency plan, or MHz"
        ) from None
    mode = "USB" if hertz < _SIDEBAND_BELOW_HERTZ else "FM"
    return plan.nearest(hertz) or Channel(0, f"{format_megahertz(hertz)} MHz", hertz, hertz, mode)


def _far(text: str) -> FarStation:
    """Read `NAME=PLACE`, or a place that is its own name."""
    name, given, place = text.rpartition("=")
    try:
        lat_deg, lon_deg = read_place(place)
    except ValueError as error:
        raise ValueError(f"--to {safe(text)[:40]}: {error}") from None
    named = clean_text(name if given else place, LONGEST_NAME).strip()
    return FarStation(named or place.strip(), lat_deg, lon_deg, open_metres(place), cell_of(place))
