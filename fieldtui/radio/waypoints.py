"""Points along the shortest way over the ground, close enough together to read heights at."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

ANCHOR_M = 1000.0
"""Between exact points this far apart the way is straight in degrees: at most 0.1 m aside below 75 degrees of
latitude (the sagitta s^2 / 8 R, times the tangent of the latitude)."""
STRAIGHT_BELOW_DEG = 75.0


def points_between(
    lat1_deg: float, lon1_deg: float, lat2_deg: float, lon2_deg: float, count: int
) -> list[tuple[float, float]]:
    """Return `count` points (2 or more) in equal steps from one place to the other, as latitude and longitude.

    Longitudes run on beyond 180 degrees where the way crosses that meridian. Source: C. F. F. Karney, Algorithms
    for geodesics, Journal of Geodesy 87 (2013), 43-55.
    """
    from geographiclib.geodesic import Geodesic  # noqa: PLC0415

    return list(_along(Geodesic.WGS84.InverseLine(lat1_deg, lon1_deg, lat2_deg, lon2_deg), count))


def points_out(
    lat_deg: float, lon_deg: float, bearing_deg: float, length_m: float, count: int
) -> list[tuple[float, float]]:
    """Return `count` points in equal steps from a place outward, `length_m` far along a true bearing."""
    from geographiclib.geodesic import Geodesic  # noqa: PLC0415

    return list(_along(Geodesic.WGS84.DirectLine(lat_deg, lon_deg, bearing_deg, length_m), count))


def _along(line: Any, count: int) -> Iterator[tuple[float, float]]:
    """Walk a geodesic: exact points at anchors, straight steps in degrees between them."""
    length_m = float(line.s13)
    spans = max(1, math.ceil(length_m / ANCHOR_M))
    place = _places(line, length_m, spans)
    before, after, reached = place(0), place(1), 1
    for number in range(count):
        at = number * spans / (count - 1)
        wanted = min(spans, math.floor(at) + 1)
        if wanted != reached:
            before, after, reached = place(wanted - 1), place(wanted), wanted
        if max(abs(before[0]), abs(after[0])) > STRAIGHT_BELOW_DEG:
            yield _position(line, length_m * number / (count - 1))
            continue
        part = at - (wanted - 1)
        yield before[0] + part * (after[0] - before[0]), before[1] + part * (after[1] - before[1])


def _places(line: Any, length_m: float, spans: int) -> Any:
    return lambda number: _position(line, length_m * number / spans)


def _position(line: Any, metres: float) -> tuple[float, float]:
    from geographiclib.geodesic import Geodesic  # noqa: PLC0415

    wanted = Geodesic.LATITUDE | Geodesic.LONGITUDE | Geodesic.LONG_UNROLL
    found = line.Position(metres, wanted)
    return float(found["lat2"]), float(found["lon2"])
