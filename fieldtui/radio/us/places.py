"""Where the United States restrict 70 cm and 33 cm: Line A, the 50 W areas, White Sands, Colorado and Wyoming.

A place may be a point or the cell of a locator; of a cell every part counts. Outlines are known to a few kilometres.
Close to an edge, and for a cell across one, the stricter answer is given, or none.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

from msgspec import Struct

from fieldtui.data.tables import load_toml
from fieldtui.radio.geodesy import path_between

_KM_PER_DEGREE = 111.2
_BEYOND_THE_ENDS_DEG = 3.0
_ARC_STEP_DEG = 0.25
"""An arc of Line A bulges by less than 100 m between two points this far apart."""
_LONGER = "give a longer locator, or LAT,LON"


class Place(Struct, frozen=True):
    """All of where a station may be, in degrees north and east: a point, or the cell that a locator leaves open."""

    south_deg: float
    west_deg: float
    north_deg: float
    east_deg: float

    @property
    def is_point(self) -> bool:
        """Whether the place is known exactly."""
        return self.south_deg == self.north_deg and self.west_deg == self.east_deg


def point(lat_deg: float, lon_deg: float) -> Place:
    """Return a place that is known exactly."""
    return Place(lat_deg, lon_deg, lat_deg, lon_deg)


class PlaceLimit(Struct, frozen=True):
    """What a place does to an emission: `allowed` (None: cannot be told), the power left, and a note."""

    allowed: bool | None = True
    watts: float | None = None
    note: str = ""


def place_limit(low_hertz: int, high_hertz: int, place: Place | None) -> PlaceLimit:
    """Return what the place does to an emission between two frequencies in ITU Region 2.

    Sources: 47 CFR 97.303(m) and (n), 97.313(f) and (g), 2.106(c)(267) and (270).
    """
    tables = load_toml("us_places.toml")
    touched = [
        name
        for name in ("line_a", "areas_70cm", "white_sands")
        if low_hertz < tables[name]["upper_hertz"] and high_hertz > tables[name]["lower_hertz"]
    ]
    line_a = _line_a_limit(place) if "line_a" in touched else PlaceLimit()
    if line_a.allowed is not True:
        return line_a
    if "areas_70cm" in touched:
        return _limit_70cm(place)
    return _limit_33cm(low_hertz, high_hertz, place) if "white_sands" in touched else PlaceLimit()


def north_of_line_a(place: Place) -> bool | None:
    """Tell whether a place lies north of Line A; None when it reaches too close to the line to tell, or past its ends.

    Source: 47 CFR 97.3(a)(30). The towns on the line are known only roughly, hence the margin of the table.
    """
    table = load_toml("us_places.toml")["line_a"]
    points = table["points"]
    if place.north_deg < min(point["lat_deg"] for point in points) - 1:
        return False
    if _past_the_ends(place):
        return None
    if place.south_deg > max(point["lat_deg"] for point in points) + 1:
        return True
    up = table["margin_km"] / _KM_PER_DEGREE
    aside = up / math.cos(math.radians(max(abs(place.south_deg), abs(place.north_deg))))
    line = _line_a_lats_deg(place.west_deg - aside, place.east_deg + aside, points)
    if place.south_deg - up > max(line):
        return True
    return False if place.north_deg + up <= min(line) else None


def in_50_watt_area(place: Place) -> bool:
    """Tell whether any part of a place lies in, or within a few kilometres of, an area with 50 W PEP on 70 cm.

    Source: 47 CFR 2.106(c)(270).
    """
    table = load_toml("us_places.toml")["areas_70cm"]
    return any(_reaches_box(place, box) for box in table["boxes"]) or any(
        _metres_to(place, point(circle["lat_deg"], circle["lon_deg"])) <= 1000 * circle["radius_km"]
        for circle in table["circles"]
    )


def white_sands_limit(place: Place) -> PlaceLimit:
    """Return what White Sands leaves of 33 cm at a place: nothing inside, 50 W PEP around, None where it may be either.

    Source: 47 CFR 97.303(n) and 97.313(g).
    """
    table = load_toml("us_places.toml")["white_sands"]
    box, away = table["box"], f"{table['within_km']:g} km"
    watts = float(table["watts"])
    if _inside_box(place, box):
        return PlaceLimit(False, note="inside the White Sands area, where 33 cm is closed")
    if _reaches_box(place, box):
        note = "part of the locator's cell lies inside the White Sands area, where 33 cm is closed"
        return PlaceLimit(None, note=f"{note}: {_LONGER}")
    metres = _metres_to(place, Place(**box))
    if metres > 1000 * table["within_km"]:
        return PlaceLimit()
    return PlaceLimit(watts=watts, note=_partly(place, f"within {away} of White Sands"))


def _line_a_limit(place: Place | None) -> PlaceLimit:
    if place is None:
        return PlaceLimit(None, note="420-430 MHz only south of Line A, near Canada: give the place")
    north = north_of_line_a(place)
    if north is None:
        return PlaceLimit(None, note=f"{_why_no_side(place)}look the line up in 47 CFR 97.3(a)(30)")
    return PlaceLimit(not north, note="north of Line A, where 420-430 MHz is closed" if north else "")


def _why_no_side(place: Place) -> str:
    if _past_the_ends(place):
        return "east or west of the ends of Line A: "
    if place.is_point:
        return "too close to Line A to tell: "
    return f"Line A may cross the locator's cell: {_LONGER}, or "


def _past_the_ends(place: Place) -> bool:
    """Tell whether a place reaches so far beyond the ends of Line A that no side can be told."""
    lons = [point["lon_deg"] for point in load_toml("us_places.toml")["line_a"]["points"]]
    return bool(
        place.west_deg < min(lons) - _BEYOND_THE_ENDS_DEG or place.east_deg > max(lons) + _BEYOND_THE_ENDS_DEG
    )


def _limit_70cm(place: Place | None) -> PlaceLimit:
    table = load_toml("us_places.toml")["areas_70cm"]
    if place is None:
        return PlaceLimit(note=f"{table['watts']:g} W PEP in some areas: give the place")
    if in_50_watt_area(place):
        note = _partly(place, "in or near an area of 47 CFR 2.106(c)(270)")
        return PlaceLimit(watts=float(table["watts"]), note=note)
    return PlaceLimit()


def _limit_33cm(low_hertz: int, high_hertz: int, place: Place | None) -> PlaceLimit:
    closed = _closed_in_colorado_and_wyoming(low_hertz, high_hertz)
    if place is None:
        more = f"; {closed} closed in parts of Colorado and Wyoming" if closed else ""
        return PlaceLimit(
            note=f"50 W PEP within 241 km of White Sands and nothing inside{more}: give the place"
        )
    limit = _colorado_and_wyoming_limit(place, closed)
    return white_sands_limit(place) if limit.allowed is True else limit


def _closed_in_colorado_and_wyoming(low_hertz: int, high_hertz: int) -> str:
    """Return the closed segment of 33 cm that an emission reaches into, in MHz, or nothing."""
    segments = load_toml("us_places.toml")["colorado_wyoming"]["closed_hertz"]
    reached = [(low, high) for low, high in segments if low < high_hertz and low_hertz < high]
    return ", ".join(f"{low / 1e6:.1f}-{high / 1e6:.1f} MHz" for low, high in reached)


def _colorado_and_wyoming_limit(place: Place, closed: str) -> PlaceLimit:
    """Return whether a place lies where a segment is closed (47 CFR 97.303(n)(3)); `closed` names the segment."""
    table = load_toml("us_places.toml")["colorado_wyoming"]
    if not closed or not _reaches_box(place, table["box"]):
        return PlaceLimit()
    where = f"{closed} closed in parts of Colorado and Wyoming (47 CFR 97.303(n)(3); outline from memory)"
    if _inside_box(place, table["box"]):
        return PlaceLimit(False, note=where)
    return PlaceLimit(None, note=f"the locator's cell may reach where it is not allowed, {where}: {_LONGER}")


def _partly(place: Place, where: str) -> str:
    """Say where a place lies; of a cell only that some part of it does, which is what was asked."""
    return where if place.is_point else f"the locator's cell, or part of it, lies {where}"


def _metres_to(place: Place, other: Place) -> float:
    """Return the distance between the nearest points of two places, 0 where they meet.

    The nearest longitude is taken along the parallel: at the distances of the table that is off by less than 100 m.
    """
    lats = _nearest(place.south_deg, place.north_deg, other.south_deg, other.north_deg)
    lons = _nearest(place.west_deg, place.east_deg, other.west_deg, other.east_deg)
    return path_between(lats[0], lons[0], lats[1], lons[1]).distance_m


def _nearest(low: float, high: float, other_low: float, other_high: float) -> tuple[float, float]:
    """Return the nearest values of two intervals, one of each."""
    if high < other_low:
        return high, other_low
    if other_high < low:
        return low, other_high
    both = max(low, other_low)
    return both, both


def _line_a_lats_deg(west_deg: float, east_deg: float, points: list[dict[str, Any]]) -> list[float]:
    """Return latitudes of the line between two longitudes: at both, at its points, and closely along the arcs."""
    steps = max(1, math.ceil((east_deg - west_deg) / _ARC_STEP_DEG))
    lons = (west_deg + (east_deg - west_deg) * step / steps for step in range(steps + 1))
    within = [float(point["lat_deg"]) for point in points if west_deg <= point["lon_deg"] <= east_deg]
    return [_line_a_lat_deg(lon_deg, points) for lon_deg in lons] + within


def _line_a_lat_deg(lon_deg: float, points: list[dict[str, Any]]) -> float:
    """Return the latitude of the line at a longitude; beyond its ends, the latitude of the end."""
    if lon_deg <= points[0]["lon_deg"]:
        return float(points[0]["lat_deg"])
    for start, end in pairwise(points):
        if start["lon_deg"] <= lon_deg < end["lon_deg"]:
            return _arc_lat_deg(lon_deg, start, end) if end["by"] == "arc" else float(end["lat_deg"])
    return float(points[-1]["lat_deg"])


def _arc_lat_deg(lon_deg: float, start: dict[str, Any], end: dict[str, Any]) -> float:
    """Return the latitude of a great circle at a longitude between two points (a sphere is close enough)."""
    lon, lon1, lon2 = (math.radians(value) for value in (lon_deg, start["lon_deg"], end["lon_deg"]))
    tan1, tan2 = (math.tan(math.radians(point["lat_deg"])) for point in (start, end))
    slope = (tan1 * math.sin(lon2 - lon) + tan2 * math.sin(lon - lon1)) / math.sin(lon2 - lon1)
    return math.degrees(math.atan(slope))


def _reaches_box(place: Place, box: dict[str, Any]) -> bool:
    """Tell whether any part of a place lies in a box."""
    return bool(
        place.south_deg <= box["north_deg"]
        and place.north_deg >= box["south_deg"]
        and place.west_deg <= box["east_deg"]
        and place.east_deg >= box["west_deg"]
    )


def _inside_box(place: Place, box: dict[str, Any]) -> bool:
    """Tell whether all of a place lies in a box."""
    return bool(
        box["south_deg"] <= place.south_deg
        and place.north_deg <= box["north_deg"]
        and box["west_deg"] <= place.west_deg
        and place.east_deg <= box["east_deg"]
    )
