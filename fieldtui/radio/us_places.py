"""Where the United States restrict 70 cm and 33 cm: Line A, the 50 W areas, White Sands.

Outlines are known to a few kilometres; close to an edge the stricter answer, or none, is given.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

from msgspec import Struct

from fieldtui.radio.geodesy import path_between
from fieldtui.radio.tables import load_toml

Place = tuple[float, float]
"""Latitude and longitude, degrees north and east."""

_KM_PER_DEGREE = 111.2
_BEYOND_THE_ENDS_DEG = 3.0


class PlaceLimit(Struct, frozen=True):
    """What a place does to an emission: `allowed` (None: cannot be told), the power left, and a note."""

    allowed: bool | None = True
    watts: float | None = None
    note: str = ""


def place_limit(low_hertz: int, high_hertz: int, place: Place | None) -> PlaceLimit:
    """Return what the place does to an emission between two frequencies in ITU Region 2.

    Sources: 47 CFR 97.303(m) and (n), 97.313(f) and (g), 2.106(c)(270).
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
    return _limit_33cm(place) if "white_sands" in touched else PlaceLimit()


def north_of_line_a(place: Place) -> bool | None:
    """Tell whether a place lies north of Line A; None when too close to the line to tell, or past its ends.

    Source: 47 CFR 97.3(a)(30). The towns on the line are known only roughly, hence the margin of the table.
    """
    table = load_toml("us_places.toml")["line_a"]
    points = table["points"]
    lat_deg, lon_deg = place
    if lat_deg < min(point["lat_deg"] for point in points) - 1:
        return False
    west, east = points[0]["lon_deg"], max(point["lon_deg"] for point in points)
    if not west - _BEYOND_THE_ENDS_DEG <= lon_deg <= east + _BEYOND_THE_ENDS_DEG:
        return None
    up = table["margin_km"] / _KM_PER_DEGREE
    aside = up / math.cos(math.radians(lat_deg))
    answers = {
        lat_deg + north * up > _line_a_lat_deg(lon_deg + sideways * aside, points)
        for north in (-1, 0, 1)
        for sideways in (-1, 0, 1)
    }
    return answers.pop() if len(answers) == 1 else None


def in_50_watt_area(place: Place) -> bool:
    """Tell whether a place lies in, or within a few kilometres of, an area with 50 W PEP on 70 cm.

    Source: 47 CFR 2.106(c)(270).
    """
    table = load_toml("us_places.toml")["areas_70cm"]
    return any(_in_box(place, box) for box in table["boxes"]) or any(
        path_between(*place, circle["lat_deg"], circle["lon_deg"]).distance_m <= 1000 * circle["radius_km"]
        for circle in table["circles"]
    )


def white_sands_watts(place: Place) -> float | None:
    """Return the most power on 33 cm that White Sands leaves at a place: 0 inside, None far from it.

    Source: 47 CFR 97.303(n) and 97.313.
    """
    table = load_toml("us_places.toml")["white_sands"]
    box = table["box"]
    nearest = (
        min(max(place[0], box["south_deg"]), box["north_deg"]),
        min(max(place[1], box["west_deg"]), box["east_deg"]),
    )
    away_m = path_between(*place, *nearest).distance_m
    if away_m == 0:
        return 0.0
    return float(table["watts"]) if away_m <= 1000 * table["within_km"] else None


def _line_a_limit(place: Place | None) -> PlaceLimit:
    if place is None:
        return PlaceLimit(None, note="420-430 MHz only south of Line A, near Canada: give the place")
    north = north_of_line_a(place)
    if north is None:
        return PlaceLimit(None, note="too close to Line A to tell: look the line up in 47 CFR 97.3(a)(30)")
    return PlaceLimit(not north, note="north of Line A, where 420-430 MHz is closed" if north else "")


def _limit_70cm(place: Place | None) -> PlaceLimit:
    table = load_toml("us_places.toml")["areas_70cm"]
    if place is None:
        return PlaceLimit(note=f"{table['watts']:g} W PEP in some areas: give the place")
    if in_50_watt_area(place):
        return PlaceLimit(watts=float(table["watts"]), note="in or near an area of 47 CFR 2.106(c)(270)")
    return PlaceLimit()


def _limit_33cm(place: Place | None) -> PlaceLimit:
    if place is None:
        return PlaceLimit(note="50 W PEP within 241 km of White Sands and nothing inside: give the place")
    watts = white_sands_watts(place)
    if watts == 0:
        return PlaceLimit(False, note="inside the White Sands area, where 33 cm is closed")
    return PlaceLimit(watts=watts, note="" if watts is None else "within 241 km of White Sands")


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


def _in_box(place: Place, box: dict[str, Any]) -> bool:
    lat_deg, lon_deg = place
    return bool(
        box["south_deg"] <= lat_deg <= box["north_deg"] and box["west_deg"] <= lon_deg <= box["east_deg"]
    )
