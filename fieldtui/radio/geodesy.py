"""Distance and bearing over the ground, WGS 84."""

from __future__ import annotations

import math

from msgspec import Struct

_POINTS = ["N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW"]


class Path(Struct, frozen=True):
    """The shortest way between two places.

    `distance_m` in metres; `bearing_deg` from the first place and `back_bearing_deg` from the second, degrees
    from true north, 0 up to but not including 360. Both bearings are None where there is no way to go: the
    two places are one.
    """

    distance_m: float
    bearing_deg: float | None
    back_bearing_deg: float | None


def path_between(lat1_deg: float, lon1_deg: float, lat2_deg: float, lon2_deg: float) -> Path:
    """Return the geodesic between two places on the WGS 84 ellipsoid, in degrees north and east.

    Latitudes lie in -90 to 90, longitudes are any finite number of degrees; ValueError otherwise. Exact to
    nanometres, between almost opposite places too.
    Source: C. F. F. Karney, Algorithms for geodesics, Journal of Geodesy 87 (2013), 43-55.
    """
    from geographiclib.geodesic import Geodesic  # noqa: PLC0415

    for lat_deg, lon_deg in ((lat1_deg, lon1_deg), (lat2_deg, lon2_deg)):
        _check_place(lat_deg, lon_deg)
    line = Geodesic.WGS84.Inverse(lat1_deg, lon1_deg, lat2_deg, lon2_deg)
    distance_m = float(line["s12"])
    if distance_m == 0:
        return Path(0.0, None, None)
    return Path(distance_m, _turn(line["azi1"]), _turn(line["azi2"] + 180))


def compass_point(bearing_deg: float) -> str:
    """Return the nearest of the 16 compass points; half way between two, the clockwise one (convention)."""
    return _POINTS[math.floor((bearing_deg + 11.25) / 22.5) % 16]


def contest_distance_m(lat1_deg: float, lon1_deg: float, lat2_deg: float, lon2_deg: float) -> float:
    """Return the distance in metres as contests of IARU Region 1 count it: 111.2 km a degree on a sphere.

    Source: IARU Region 1 contest rules, as worked out on the basic rules page of the Danish V-U-SHF
    committee. Not the distance over the ground: that is `path_between`.
    """
    for lat_deg, lon_deg in ((lat1_deg, lon1_deg), (lat2_deg, lon2_deg)):
        _check_place(lat_deg, lon_deg)
    lat1, lat2, lon = math.radians(lat1_deg), math.radians(lat2_deg), math.radians(lon2_deg - lon1_deg)
    haversine = math.sin((lat2 - lat1) / 2) ** 2 + math.cos(lat1) * math.cos(lat2) * math.sin(lon / 2) ** 2
    return 111_200 * math.degrees(2 * math.asin(min(1.0, math.sqrt(haversine))))


def _turn(degrees: float) -> float:
    """Return an angle within one turn; a tiny negative one would otherwise come out as 360."""
    return degrees % 360 % 360


def _check_place(lat_deg: float, lon_deg: float) -> None:
    if not -90 <= lat_deg <= 90:
        raise ValueError(f"latitude must lie between -90 and 90 degrees, not {lat_deg:g}")
    if not math.isfinite(lon_deg):
        raise ValueError(f"longitude must be a number of degrees, not {lon_deg:g}")


def cell_radius_m(south_deg: float, west_deg: float, north_deg: float, east_deg: float) -> float:
    """Return how far the farthest corner of a cell lies from its middle: what a locator leaves open, in metres."""
    lat_deg, lon_deg = (south_deg + north_deg) / 2, (west_deg + east_deg) / 2
    corners = ((south_deg, west_deg), (north_deg, west_deg))
    return max(path_between(lat_deg, lon_deg, *corner).distance_m for corner in corners)


def cell_metres(locator: str) -> float:
    """Return how far a locator leaves its place open, half the diagonal of its cell in metres; 0 for none."""
    from fieldtui.radio.locator import cell_of  # noqa: PLC0415  (its package is loaded for a locator only)

    cell = cell_of(locator) if locator else None
    return cell_radius_m(cell.south_deg, cell.west_deg, cell.north_deg, cell.east_deg) if cell else 0.0
