"""Sun and compass over the whole cell of a locator: a station may stand anywhere in it."""

from __future__ import annotations

from datetime import date, datetime

from msgspec.structs import replace

from fieldtui.journal.rfc3339 import to_nearest_second
from fieldtui.planning.cells import Point, corners
from fieldtui.power.sun import Light, SunDay, light_at, sun_day
from fieldtui.radio.declination import Declination, declination
from fieldtui.radio.locator import Cell

EVENTS = ("dawn", "sunrise", "noon", "sunset", "dusk")
LEAST_DIGITS = 4

Times = dict[str, tuple[datetime, datetime] | None]
"""The earliest and the latest of each event in a cell; None where it does not come in all of it."""


def narrow_enough(cell: Cell | None) -> None:
    """Refuse a field of two characters, 20 degrees wide, with one line."""
    if cell is not None and len(cell.locator) < LEAST_DIGITS:
        raise ValueError(
            f"{cell.locator} is 20 degrees wide: sun and compass differ too much within it; "
            f"give {LEAST_DIGITS} characters or more, or LAT,LON"
        )


def sun_over(on: date, cell: Cell) -> Times:
    """Give the earliest and the latest of each event of the solar day in a cell."""
    days = [sun_day(on, *point) for point in _points(cell)]
    return {name: _span([getattr(day, name) for day in days]) for name in EVENTS}


def within_cell(over: Times | None) -> dict[str, list[str | None] | None] | None:
    """The earliest and the latest of each event of the sun in a locator's cell; None for coordinates."""
    if over is None:
        return None
    return {
        name: [to_nearest_second(each) for each in times] if times else None for name, times in over.items()
    }


def cautious_day(day: SunDay, over: Times) -> SunDay:
    """Give a day with the earliest dusk and sunset and the latest dawn and sunrise that the cell has."""
    early = {name: times[0] for name in ("sunset", "dusk") if (times := over[name])}
    late = {name: times[1] for name in ("dawn", "sunrise") if (times := over[name])}
    return replace(day, **early, **late)


def light_over(at: datetime, place: Point, cell: Cell | None) -> Light:
    """Give the light left at a time where least of it is left in a cell."""
    lights = [light_at(at, *point) for point in ((place,) if cell is None else (place, *_points(cell)))]
    least = min((light.left for light in lights if light.left is not None), default=None)
    return lights[0] if least is None else Light(least)


def declination_over(place: Point, cell: Cell | None, when: datetime) -> Declination:
    """Give the declination in the middle, as uncertain as the cell makes it."""
    middle = declination(*place, when)
    if cell is None:
        return middle
    others = [declination(*point, when) for point in _points(cell)]
    aside = max(abs((one.declination_deg - middle.declination_deg + 180) % 360 - 180) for one in others)
    return replace(
        middle,
        uncertainty_deg=middle.uncertainty_deg + aside,
        compass_reliable=all(one.compass_reliable for one in (middle, *others)),
    )


def _points(cell: Cell) -> tuple[Point, ...]:
    """The corners, the middles of the edges, the middle: between them nothing turns in a square or less."""
    (south, west), _, (north, east), _ = corners(cell)
    lats, lons = (south, cell.lat_deg, north), (west, cell.lon_deg, east)
    return tuple((lat, lon) for lat in lats for lon in lons)


def _span(times: list[datetime | None]) -> tuple[datetime, datetime] | None:
    known = [at for at in times if at is not None]
    return (min(known), max(known)) if len(known) == len(times) else None
