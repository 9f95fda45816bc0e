"""The part of a plan that is about distance: the ground at the place, reach, and the ways to far stations."""

from __future__ import annotations

from datetime import datetime

from fieldtui.planning.cell_light import declination_over
from fieldtui.planning.path import USUAL_ANTENNA_M, End, reckon_path
from fieldtui.planning.plan_parts import Asked, FarStation, GroundPart, PathPart, ReachPart
from fieldtui.planning.rings import rings
from fieldtui.planning.tiles import TileError, TileFolder
from fieldtui.radio.path.earth import horizon_m
from fieldtui.radio.path.link import Radios
from fieldtui.radio.waypoints import points_out

AROUND_M = 30_000.0
"""How far around the place the ground is looked at, for the level that the place stands above."""
_BEARINGS, _POINTS = 12, 11


def ground_part(asked: Asked, tiles: TileFolder | None, when: datetime) -> tuple[GroundPart, str]:
    """Give the compass and the ground at the place, and in one line why there is no ground, or nothing."""
    compass = declination_over((asked.lat_deg, asked.lon_deg), asked.cell, when)
    if tiles is None:
        return GroundPart(compass), ""
    here = asked.lat_deg, asked.lon_deg
    try:
        tiles.require([here])
        ground = tiles.height_m(*here)
        if ground is None:
            return GroundPart(
                compass
            ), "the tile holds no height at the place: get tiles with the voids filled"
        return GroundPart(compass, ground, min(ground, _mean(tiles, here, ground))), ""
    except TileError as error:
        return GroundPart(compass), str(error)


def _mean(tiles: TileFolder, here: tuple[float, float], ground_m: float) -> float:
    """Give the mean height around, of the points whose tiles are there."""
    heights = [ground_m]
    for number in range(_BEARINGS):
        points = [
            point
            for point in points_out(*here, 360 / _BEARINGS * number, AROUND_M, _POINTS)[1:]
            if not tiles.missing([point])
        ]
        heights += [height for point in points if (height := tiles.height_m(*point)) is not None]
    return sum(heights) / len(heights)


def reach_part(asked: Asked, radios: Radios, antenna_m: float, ground: GroundPart) -> ReachPart:
    """Give horizon and rings over a smooth earth: at the mean of the ground around, or else at sea or at the place."""
    if ground.ground_m is not None and ground.mean_m is not None:
        top = max(asked.height_m or 0.0, ground.ground_m + antenna_m)
        height, level = top - ground.mean_m, f"the mean of the ground around, {ground.mean_m:.0f} m"
    elif asked.height_m is not None:
        height, level = max(0.0, asked.height_m), "sea level"
    else:
        height, level = antenna_m, "the ground at the place: on a hill it reaches farther, give --height-m"
    return ReachPart(
        hertz=round(radios.hertz),
        height_m=height,
        height_there_m=USUAL_ANTENNA_M,
        horizon_m=horizon_m(height) + horizon_m(USUAL_ANTENNA_M),
        rings=tuple(rings(radios, height, USUAL_ANTENNA_M)),
        level=level,
    )


def path_parts(
    asked: Asked, radios: Radios, antenna_m: float, tiles: TileFolder | None
) -> tuple[PathPart, ...]:
    """Reckon the way to every far station, over the terrain where its tiles are there."""
    here = End(asked.lat_deg, asked.lon_deg, asked.uncertainty_m, asked.height_m, antenna_m, asked.cell)
    return tuple(_path(here, far, radios, tiles) for far in asked.far)


def _path(here: End, far: FarStation, radios: Radios, tiles: TileFolder | None) -> PathPart:
    there = End(far.lat_deg, far.lon_deg, far.uncertainty_m, cell=far.cell)
    note = ""
    if tiles is not None:
        try:
            path = reckon_path(here, there, radios, tiles)
            return PathPart(far, round(radios.hertz), path, over_terrain=True)
        except TileError as error:
            note = str(error)
    path = reckon_path(here, there, radios)
    return PathPart(far, round(radios.hertz), path, over_terrain=False, note=note)
