"""The ITU Region of a place, by the lines on the map.

Source: Radio Regulations, Nos. 5.2 to 5.9, whose lines A, B and C are printed in full in the text of Atlantic City
1947, Nos. 102 to 106 (US Statutes at Large 63, part 2). Countries that belong to a Region whatever the lines say stand
in `areas.toml`; between the lines that part Europe from Asia only a country can tell.
"""

from __future__ import annotations

import math

from fieldtui.radio.locator import Cell

_TROPIC_OF_CANCER_DEG = 23.4364
_BERING_STRAIT_DEG = -168.9769
"""The boundary in the strait; that it lies in the middle, 168 58 37 W, is from memory."""
_SOUTHERNMOST_DEG, _NORTHERNMOST_DEG = 35.1, 53.6
"""Of the countries of Region 1 east of line A, and of the mainland of China: between them the lines cannot tell."""


def region_of_cell(cell: Cell) -> int | None:
    """Return the Region of a locator's cell, 1 to 3, or None where its corners lie in several or a country decides."""
    edge = 1e-9  # the cell's own side of an edge that is a line
    corners = {
        region_of_point(lat, lon)
        for lat in (cell.south_deg + edge, cell.north_deg - edge)
        for lon in (cell.west_deg + edge, cell.east_deg - edge)
    }
    return corners.pop() if len(corners) == 1 else None


def region_of_point(lat_deg: float, lon_deg: float) -> int | None:
    """Return the Region of a place on land without its country, or None where the country must decide.

    Iran, all of which is in Region 3, reaches west of line A: there the answer is 1.
    """
    region = region_by_lines(lat_deg, lon_deg)
    if region != 3 or lat_deg < _SOUTHERNMOST_DEG:
        return region
    return 1 if lat_deg >= _NORTHERNMOST_DEG else None


def region_by_lines(lat_deg: float, lon_deg: float) -> int:
    """Return the Region by lines A, B and C alone."""
    line_b = _line_b_deg(lat_deg)
    east, east_of_a, east_of_c = (
        (lon - line_b) % 360 for lon in (lon_deg, _line_a_deg(lat_deg), _line_c_deg(lat_deg))
    )
    if east < east_of_a:
        return 1
    return 3 if east < east_of_c else 2


def _line_a_deg(lat_deg: float) -> float:
    """Line A, between Regions 1 and 3."""
    if lat_deg >= 40:
        return 40.0
    if lat_deg <= _TROPIC_OF_CANCER_DEG:
        return 60.0
    return _arc_lon_deg((40.0, 40.0), (_TROPIC_OF_CANCER_DEG, 60.0), lat_deg)


def _line_b_deg(lat_deg: float) -> float:
    """Line B, between Regions 2 and 1."""
    if lat_deg >= 72:
        return -10.0
    if lat_deg > 40:
        return _arc_lon_deg((72.0, -10.0), (40.0, -50.0), lat_deg)
    return -20.0 if lat_deg <= -10 else _arc_lon_deg((40.0, -50.0), (-10.0, -20.0), lat_deg)


def _line_c_deg(lat_deg: float) -> float:
    """Line C, between Regions 3 and 2."""
    if lat_deg >= 65.5:
        return _BERING_STRAIT_DEG
    if lat_deg > 50:
        return _arc_lon_deg((65.5, _BERING_STRAIT_DEG), (50.0, 165.0), lat_deg)
    return -120.0 if lat_deg <= 10 else _arc_lon_deg((50.0, 165.0), (10.0, -170.0), lat_deg)


def _arc_lon_deg(start: tuple[float, float], end: tuple[float, float], lat_deg: float) -> float:
    """Return where the great circle between two points (latitude, longitude) crosses a parallel between them."""
    (x1, y1, z1), (x2, y2, z2) = _unit(*start), _unit(*end)
    nx, ny, nz = y1 * z2 - z1 * y2, z1 * x2 - x1 * z2, x1 * y2 - y1 * x2
    ratio = -nz * math.tan(math.radians(lat_deg)) / math.hypot(nx, ny)
    turn, half = math.atan2(ny, nx), math.acos(max(-1.0, min(1.0, ratio)))
    middle = math.atan2(y1 + y2, x1 + x2)
    lon = min((turn + half, turn - half), key=lambda root: abs(math.remainder(root - middle, math.tau)))
    return math.degrees(math.remainder(lon, math.tau))


def _unit(lat_deg: float, lon_deg: float) -> tuple[float, float, float]:
    lat, lon = math.radians(lat_deg), math.radians(lon_deg)
    return math.cos(lat) * math.cos(lon), math.cos(lat) * math.sin(lon), math.sin(lat)
