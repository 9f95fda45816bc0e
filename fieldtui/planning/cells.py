"""What the cell of a locator leaves open about a path: how far, how strong, in sight or not.

A locator names a cell, and a station may stand anywhere in it. So the path is calculated from the middle, to the
corners, and at the nearest and the farthest that both cells allow.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product

from fieldtui.radio.geodesy import path_between
from fieldtui.radio.locator import Cell

MOST_SPREAD_DB = 20.0
"""A cell in which the strength differs by more than the formulas themselves (10 dB either way) gives no strength."""
_INSIDE = 1e-6
"""Corners lie this part of the cell inside it: an edge of a tile belongs to the next one."""

Point = tuple[float, float]
"""Degrees north and east."""


@dataclass(frozen=True, slots=True)
class Spread:
    """The least and the most of distance (metres) and strength (dBm) over two cells; `sight_varies` says so."""

    nearest_m: float
    farthest_m: float
    weakest_dbm: float
    strongest_dbm: float
    sight_varies: bool

    @property
    def decibels(self) -> float:
        """How much the strength differs from one part of the cells to another."""
        return self.strongest_dbm - self.weakest_dbm

    @property
    def too_wide(self) -> bool:
        """Whether no one strength can be told."""
        return self.decibels > MOST_SPREAD_DB


def corners(cell: Cell) -> tuple[Point, ...]:
    """Return the four corners, a hair inside the cell, from the south-west one round."""
    up, aside = _INSIDE * (cell.north_deg - cell.south_deg), _INSIDE * (cell.east_deg - cell.west_deg)
    south, north = cell.south_deg + up, cell.north_deg - up
    west, east = cell.west_deg + aside, cell.east_deg - aside
    return (south, west), (south, east), (north, east), (north, west)


def points(place: Point, cell: Cell | None) -> tuple[Point, ...]:
    """Return where a station may be: its place, and the corners of its cell."""
    return (place,) if cell is None else (place, *corners(cell))


def nearest_points(
    here: Point, cell: Cell | None, there: Point, cell_there: Cell | None
) -> tuple[Point, Point]:
    """Return the points of two places that lie nearest to each other; one point where the cells meet."""
    mine, theirs = _box(here, cell), _box(there, cell_there)
    shift = 360.0 * round((here[1] - there[1]) / 360.0)
    lats = _closest((mine[0], mine[2]), (theirs[0], theirs[2]))
    lons = _closest((mine[1], mine[3]), (theirs[1] + shift, theirs[3] + shift))
    return (lats[0], lons[0]), (lats[1], lons[1] - shift)


def distances_m(here: Point, cell: Cell | None, there: Point, cell_there: Cell | None) -> tuple[float, float]:
    """Return the shortest and the longest distance between two places, in metres on the ellipsoid.

    The farthest points of two cells are corners of both. The nearest are sought along the meridian and the parallel.
    """
    near, far = nearest_points(here, cell, there, cell_there)
    pairs = [*product(points(here, cell), points(there, cell_there)), (near, far)]
    lengths = [path_between(*one, *other).distance_m for one, other in pairs]
    return min(lengths), max(lengths)


def pairs_between(
    here: Point, cell: Cell | None, there: Point, cell_there: Cell | None
) -> Iterator[tuple[Point, Point]]:
    """Yield the ways to try over terrain: the middles, each with the corners of the other, the nearest points."""
    ways = [(here, other) for other in points(there, cell_there)]
    ways += [(one, there) for one in points(here, cell)]
    ways.append(nearest_points(here, cell, there, cell_there))
    yield from dict.fromkeys(ways)


def _box(place: Point, cell: Cell | None) -> tuple[float, float, float, float]:
    if cell is None:
        return place[0], place[1], place[0], place[1]
    (south, west), _, (north, east), _ = corners(cell)
    return south, west, north, east


def _closest(mine: tuple[float, float], theirs: tuple[float, float]) -> tuple[float, float]:
    """Return the nearest values of two intervals, one of each."""
    if mine[1] < theirs[0]:
        return mine[1], theirs[0]
    if theirs[1] < mine[0]:
        return mine[0], theirs[1]
    both = max(mine[0], theirs[0])
    return both, both
