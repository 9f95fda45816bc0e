"""The ground along a path, read from tiles."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from fieldtui.planning.tiles import TileError, TileFolder
from fieldtui.radio.waypoints import points_between, points_out

MOST_POINTS = 20_000
FARTHEST_M = 1_000_000.0
"""Beyond this a path near the ground carries nothing, and the tiles would fill the card."""


@dataclass(frozen=True, slots=True)
class TerrainProfile:
    """Ground heights in metres above the sea at equal steps; `distances_m` begins at 0.

    `void_points` had no height in their tile: the straight line between their neighbours stands for them, over
    `longest_void_m` at most. `sea_tiles` were not there and were taken as sea.
    """

    distances_m: tuple[float, ...]
    heights_m: tuple[float, ...]
    void_points: int = 0
    longest_void_m: float = 0.0
    sea_tiles: tuple[str, ...] = ()

    @property
    def length_m(self) -> float:
        """From the first point to the last."""
        return self.distances_m[-1]

    @property
    def distances_km(self) -> list[float]:
        """The distances as the Recommendations count them."""
        return [metres / 1000 for metres in self.distances_m]


def profile_between(
    tiles: TileFolder, here: tuple[float, float], there: tuple[float, float], length_m: float
) -> TerrainProfile:
    """Return the ground between two places (latitude, longitude), at the spacing of the tiles.

    Raises TileError for a missing tile, and for a path longer than 1000 km or shorter than a step.
    """
    if length_m > FARTHEST_M:
        raise TileError(
            f"the path is {length_m / 1000:.0f} km long, and terrain is calculated to {FARTHEST_M / 1000:.0f} km: "
            "leave --terrain out"
        )
    tiles.require(points_between(*here, *there, max(2, math.ceil(length_m / 1000) + 1)))
    step_m = min(tiles.spacing_m(*here), tiles.spacing_m(*there))
    count = min(MOST_POINTS, max(3, math.ceil(length_m / step_m) + 1))
    return _read(tiles, points_between(*here, *there, count), length_m)


def profile_out(
    tiles: TileFolder, here: tuple[float, float], bearing_deg: float, length_m: float, step_m: float
) -> TerrainProfile:
    """Return the ground from a place outward along a true bearing."""
    count = max(3, math.ceil(length_m / step_m) + 1)
    return _read(tiles, points_out(*here, bearing_deg, length_m, count), length_m)


def _read(tiles: TileFolder, points: Sequence[tuple[float, float]], length_m: float) -> TerrainProfile:
    step_m = length_m / (len(points) - 1)
    read = [tiles.height_m(*point) for point in points]
    heights, voids, longest = fill_voids(read)
    return TerrainProfile(
        tuple(number * step_m for number in range(len(points))),
        tuple(heights),
        voids,
        (longest + 1) * step_m if longest else 0.0,
        tuple(sorted(tiles.taken_as_sea)),
    )


def fill_voids(heights: Sequence[float | None]) -> tuple[list[float], int, int]:
    """Return the heights with straight lines over the voids, how many there were, and the longest row of them.

    At an end the nearest height goes on. Raises TileError when there is no height at all.
    """
    known = [number for number, height in enumerate(heights) if height is not None]
    if not known:
        raise TileError(
            "the tiles hold no height along this path, only voids: get tiles with the voids filled"
        )
    filled = [0.0 if height is None else height for height in heights]
    longest = max(known[0], len(heights) - 1 - known[-1])
    filled[: known[0]] = [filled[known[0]]] * known[0]
    filled[known[-1] + 1 :] = [filled[known[-1]]] * (len(heights) - 1 - known[-1])
    for left, right in pairwise(known):
        longest = max(longest, right - left - 1)
        for number in range(left + 1, right):
            part = (number - left) / (right - left)
            filled[number] = filled[left] + part * (filled[right] - filled[left])
    return filled, len(heights) - len(known), longest
