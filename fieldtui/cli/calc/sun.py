"""`fieldtui calc sun`: dawn, sunrise, noon, sunset and dusk at a place, and what a panel brings there."""

from __future__ import annotations

import argparse
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING, NamedTuple

from fieldtui.cli.calc import Answer, Calculator
from fieldtui.cli.calc.radio import read_place
from fieldtui.cli.numbers import clock_time, day, number, significant
from fieldtui.cli.station_loading import own_zone
from fieldtui.journal.rfc3339 import to_nearest_second
from fieldtui.planning.cell_light import EVENTS, Times, cautious_day, sun_over, within_cell
from fieldtui.power.panel import SKY_SPREAD, Band, Panel, heat_factor, usual_efficiencies
from fieldtui.power.sun import SunDay, clear_sky_wh_per_m2, day_span, solar_date, sun_day
from fieldtui.radio.local_time import local_of, local_words, next_time

if TYPE_CHECKING:
    from fieldtui.radio.locator import Cell

_HILLS = "Dawn and dusk are civil twilight. Hills and haze shift what you see by minutes."


class _Counted(NamedTuple):
    """What was counted: the span, the sun's energy in it (Wh/m2), and what a panel makes of it."""

    start: datetime
    end: datetime
    sky: float
    panel: Band | None


def _configure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "place", metavar="PLACE", nargs="*", help="a locator, or LAT,LON; left out, that of the station file"
    )
    parser.add_argument("--on", type=day, metavar="DATE", help="local date, such as 2026-06-14 (today)")
    parser.add_argument("--panel-watts", type=number, metavar="W", help="rating of a panel lying flat")
    parser.add_argument(
        "--efficiency", type=_share, metavar="E",
        help="share of the rating that reaches the pack in full sun, if measured (0.57 to 0.71)",
    )  # fmt: skip
    parser.add_argument(
        "--cell-celsius",
        type=number,
        metavar="T",
        help="temperature of the cells, with an --efficiency at 25 C",
    )
    parser.add_argument(
        "--from",
        type=clock_time,
        dest="start",
        metavar="TIME",
        help="count the panel from this time, UTC, or 5pm by the local clock",
    )
    parser.add_argument("--until", type=clock_time, metavar="TIME", help="and until this time")


def _share(text: str) -> float:
    """Read a share, `0.65`, or as per cent, `65`."""
    value = number(text.strip().removesuffix("%"))
    return value / 100 if 1 < value <= 100 or text.strip().endswith("%") else value


def _sun(options: argparse.Namespace) -> Answer:
    lat_deg, lon_deg, cell = _place(options.place)
    on = options.on or solar_date(datetime.now(UTC), lon_deg)
    events = sun_day(on, lat_deg, lon_deg)
    start, end = _span(options, on, lat_deg, lon_deg)
    over = None if cell is None else sun_over(on, cell)
    if over is not None:
        events = cautious_day(events, over)
    sky = clear_sky_wh_per_m2(start, end, lat_deg, lon_deg)
    counted = _Counted(start, end, sky, _panel(options, sky))
    values: dict[str, object] = {
        "on": on.isoformat(),
        **{name: to_nearest_second(getattr(events, name)) for name in EVENTS},
        "local": {
            name: None if at is None else local_of(at, own_zone()).isoformat(timespec="seconds")
            for name in EVENTS
            for at in [getattr(events, name)]
        },
        "note": events.note or None,
        "within_cell": within_cell(over),
        "caution": _HILLS,
        "sky_uncertainty": SKY_SPREAD,
        "losses": _losses(options) if counted.panel is not None else None,
        "daylight_hours": round(events.daylight / timedelta(hours=1), 3),
        **_panel_values(counted.panel),
        "sun_watt_hours_m2": significant(sky),
        "counted_from": to_nearest_second(start),
        "counted_until": to_nearest_second(end),
    }
    return Answer(values, _lines(options, on, events, counted, over))


def _panel_values(panel: Band | None) -> dict[str, float | None]:
    return {
        "panel_watt_hours": None if panel is None else significant(panel.best),
        "panel_watt_hours_low": None if panel is None else significant(panel.low),
        "panel_watt_hours_high": None if panel is None else significant(panel.high),
    }


def _place(words: list[str]) -> tuple[float, float, Cell | None]:
    if words:
        return _read(" ".join(words))
    from fieldtui.cli.station_loading import load_station  # noqa: PLC0415

    locator = load_station(None).station.place.locator
    if locator is None:
        raise ValueError("give a PLACE, a locator or LAT,LON, or set locator in the station file")
    return _read(locator)


def _read(text: str) -> tuple[float, float, Cell | None]:
    """Read a place, with the cell of a locator; one of two characters is refused."""
    from fieldtui.planning.cell_light import narrow_enough  # noqa: PLC0415
    from fieldtui.radio.locator import cell_of, is_locator  # noqa: PLC0415

    lat_deg, lon_deg = read_place(text)
    cell = cell_of(text.strip()) if is_locator(text.strip()) else None
    narrow_enough(cell)
    return lat_deg, lon_deg, cell


def _span(options: argparse.Namespace, on: date, lat_deg: float, lon_deg: float) -> tuple[datetime, datetime]:
    """Give the span to count the panel over: the solar day, or the hours asked for within it."""
    begin, end = day_span(on, lat_deg, lon_deg)
    if options.start is None and options.until is None:
        return begin, end
    start = begin if options.start is None else next_time(options.start, begin, own_zone())
    return start, (end if options.until is None else next_time(options.until, start, own_zone()))


def _panel(options: argparse.Namespace, sky: float) -> Band | None:
    if options.cell_celsius is not None and options.efficiency is None:
        raise ValueError("--cell-celsius needs an --efficiency: the usual one counts heat already")
    if options.panel_watts is None:
        if options.efficiency is not None:
            raise ValueError("--efficiency is that of a panel: give --panel-watts too")
        return None
    factor = 1.0 if options.cell_celsius is None else heat_factor(options.cell_celsius)
    band = Panel(options.panel_watts, options.efficiency).watt_hours(sky)
    return Band(band.low * factor, band.best * factor, band.high * factor)


def _lines(
    options: argparse.Namespace, on: date, events: SunDay, counted: _Counted, over: Times | None
) -> tuple[str, ...]:
    lines = [f"{on.isoformat()}, the day of the place; times in UTC"]
    lines += [
        f"{name:<9} {_clock(getattr(events, name), on)}{_within(name, over)}{_local(getattr(events, name), on)}"
        for name in EVENTS
    ]
    if events.note:
        lines.append(f"          {events.note}")
    hours, minutes = divmod(round(events.daylight.total_seconds() / 60), 60)
    lines.append(f"daylight  {hours} h {minutes:02d} min")
    if counted.panel is not None:
        lines += _panel_lines(options, counted, counted.panel)
    lines.append(_HILLS)
    return tuple(lines)


def _panel_lines(options: argparse.Namespace, counted: _Counted, panel: Band) -> list[str]:
    whole_day = options.start is None and options.until is None
    when = "in the day" if whole_day else f"from {counted.start:%H:%M} to {counted.end:%H:%M} UTC"
    return [
        f"panel     about {panel.best:.0f} Wh {when}, {panel.low:.0f} to {panel.high:.0f} Wh, flat, no clouds",
        f"          sky {counted.sky:.0f} Wh/m2 give or take {SKY_SPREAD:.0%}; {_losses(options)}",
        "          An ordinary cloudy day brings half of that, or less.",
    ]


def _losses(options: argparse.Namespace) -> str:
    if options.efficiency is not None:
        return f"{options.efficiency:.0%} of the rating arrives, as given"
    low, _, high = usual_efficiencies()
    return f"{low:.0%} to {high:.0%} of the rating arrives (common practice, no source)"


def _within(name: str, over: Times | None) -> str:
    """Say how much a time differs within the cell of the locator, where a minute is to be seen of it."""
    times = over[name] if over else None
    if times is None:
        return "" if over is None else " (not in all of the cell)"
    if times[1] - times[0] < timedelta(minutes=1):
        return ""
    first, last = (_clock(at, at.date()).partition(" ")[0] for at in times)
    return f" ({first} to {last} within the cell)"


def _local(at: datetime | None, on: date) -> str:
    """The same by the wall clock."""
    words = local_words(at, own_zone(), beside=on)
    return f", {words}" if words else ""


def _clock(at: datetime | None, on: date) -> str:
    """Give a time to the minute, with the date where it is another in UTC."""
    if at is None:
        return "none"
    minute = (at + timedelta(seconds=30)).replace(second=0, microsecond=0)
    return f"{minute:%H:%M}" + ("" if minute.date() == on else f" on {minute:%Y-%m-%d}")


CALCULATORS = {
    "sun": Calculator(
        "Dawn, sunrise, noon, sunset and dusk at a place, and what a solar panel lying flat brings.",
        "fieldtui calc sun CN94hb --on 2026-06-14 --panel-watts 20",
        _configure,
        _sun,
    ),
}
"""The calculator of this file by the word after `calc`."""
