"""The shortest way between two places as lines on a flat map, cut where it crosses the antimeridian. Pure.

Between two positions of GeoJSON a line is straight in longitude and latitude (RFC 7946, 3.1.1), so a path over
the ground needs many; and one that crosses 180 degrees is split there (3.1.9).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

STEP_M = 50_000.0
"""Between positions: the chord then stays within a few hundred metres of the path away from the poles."""

Point = tuple[float, float]
"""Longitude, latitude."""

_HALVINGS = 50


def great_circle(lat1_deg: float, lon1_deg: float, lat2_deg: float, lon2_deg: float) -> list[list[Point]]:
    """The parts of the geodesic on WGS 84, each of two positions or more; none if the places are one.

    Longitudes lie in -180 to 180. Source of the geodesic: C. F. F. Karney, Journal of Geodesy 87 (2013), 43-55.
    """
    from geographiclib.geodesic import Geodesic  # noqa: PLC0415

    mask = Geodesic.STANDARD | Geodesic.LONG_UNROLL
    line = Geodesic.WGS84.InverseLine(lat1_deg, lon1_deg, lat2_deg, lon2_deg)
    length = float(line.s13)

    def at(metres: float) -> Point:
        found = line.Position(metres, mask)
        return float(found["lon2"]), float(found["lat2"])

    steps = max(1, math.ceil(length / STEP_M))
    ways = [length * step / steps for step in range(steps + 1)]
    return [part for part in _cut(at, ways) if any(point != part[0] for point in part)]


def _cut(at: Callable[[float], Point], ways: list[float]) -> Iterator[list[Point]]:
    """Positions at these distances, in parts that each stay between -180 and 180."""
    before, turn = ways[0], _turn(at(ways[0])[0])
    part: list[Point] = []
    for way in ways:
        lon, lat = at(way)
        if _turn(lon) != turn:
            edge = 180.0 + 360 * min(turn, _turn(lon))
            lat_there = at(_crossing(at, before, way, edge))[1]
            yield [*part, (edge - 360 * turn, lat_there)]
            turn = _turn(lon)
            part = [(edge - 360 * turn, lat_there)]
        part.append((lon - 360 * turn, lat))
        before = way
    yield part


def _turn(lon_deg: float) -> int:
    """How many times a longitude that goes on counting has passed 180 eastwards."""
    turn = math.floor((lon_deg + 180) / 360)
    # The sum may be rounded up: 179.99999999999997 has not passed it.
    return turn - 1 if lon_deg < 360 * turn - 180 else turn


def _crossing(at: Callable[[float], Point], low: float, high: float, edge: float) -> float:
    """The distance at which the path meets a meridian, by halving: between two positions it is met once."""
    east = at(low)[0] < edge
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        if (at(middle)[0] < edge) == east:
            low = middle
        else:
            high = middle
    return (low + high) / 2
