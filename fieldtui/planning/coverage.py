"""Where a station is heard over real ground: bearing by distance, on all processors.

Along each bearing the ground is read once from the tiles; to each distance on it the loss is calculated over all
the ground before it (ITU-R P.526, `radio/path/terrain_loss.py`).
"""

from __future__ import annotations

import signal
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from fieldtui.planning.path import End, antenna_over
from fieldtui.planning.profile import profile_out
from fieldtui.planning.tiles import TileFolder
from fieldtui.radio.path.array_sums import fastest_sums
from fieldtui.radio.path.course import Course
from fieldtui.radio.path.earth import MEDIAN_RADIUS_M
from fieldtui.radio.path.free_space import free_space_loss_db
from fieldtui.radio.path.link import Radios, slant_m
from fieldtui.radio.path.round_earth import Setting
from fieldtui.radio.path.sums import PLAIN, Sums
from fieldtui.radio.path.terrain_loss import terrain_loss
from fieldtui.radio.waypoints import points_out

LEAST_RANGE_M, MOST_RANGE_M = 2_000.0, 400_000.0
MOST_BEARINGS, MOST_DISTANCES = 360, 200
_POINTS_A_BEARING = 1200
_POINTS_A_PROCESS, _POINTS_A_PROCESS_WITH_ARRAYS = 500_000, 5_000_000
"""Points passed over: with fewer the work is done before other processes have started (measured)."""


@dataclass(frozen=True, slots=True)
class Area:
    """What is asked: the station, the far antennas over their ground, and how far and fine to look.

    `there` stands for every far antenna: its place does not matter. `range_m` from 2 to 400 km.
    """

    folder: Path
    here: End
    there: End
    radios: Radios
    range_m: float
    bearings: int = 72
    distances: int = 40
    missing_is_sea: bool = False

    def __post_init__(self) -> None:
        """Refuse what cannot be drawn, with one line."""
        if not LEAST_RANGE_M <= self.range_m <= MOST_RANGE_M:
            raise ValueError(
                f"a range lies between {LEAST_RANGE_M / 1000:g} and {MOST_RANGE_M / 1000:g} km, "
                f"not at {self.range_m / 1000:g}"
            )
        if not 4 <= self.bearings <= MOST_BEARINGS or not 4 <= self.distances <= MOST_DISTANCES:
            raise ValueError(f"4 to {MOST_BEARINGS} bearings, and 4 to {MOST_DISTANCES} distances")

    @property
    def step_deg(self) -> float:
        """Between two bearings."""
        return 360 / self.bearings

    @property
    def ring_m(self) -> float:
        """Between two distances."""
        return self.range_m / self.distances


@dataclass(frozen=True, slots=True)
class Ray:
    """One bearing: the strength at each distance, in dBm, and the ground under it.

    `sum_m` is the sum of `points` ground heights, for the mean of the whole area.
    """

    bearing_deg: float
    dbm: tuple[float, ...]
    sum_m: float
    points: int
    void_points: int
    sea_tiles: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Coverage:
    """The answer: rays by bearing from north, each with a strength at every `ring_m`.

    `antenna_m` is the station's antenna above the sea, `ground_m` the ground under it, `mean_ground_m` the mean
    height of the ground in range.
    """

    area: Area
    rays: tuple[Ray, ...]
    antenna_m: float
    ground_m: float
    mean_ground_m: float
    notes: tuple[str, ...]

    @property
    def height_m(self) -> float:
        """The antenna above the ground around: the mean of it, or its own where that is higher."""
        return self.antenna_m - min(self.ground_m, self.mean_ground_m)

    def dbm_at(self, bearing_deg: float, distance_m: float) -> float | None:
        """Return the strength nearest to a place; None beyond the range."""
        number = round(distance_m / self.area.ring_m)
        if number > self.area.distances:
            return None
        ray = self.rays[round(bearing_deg % 360 / self.area.step_deg) % len(self.rays)]
        return ray.dbm[max(0, number - 1)]


def reckon_coverage(
    area: Area,
    *,
    jobs: int = 1,
    sums: Sums | None = None,
    told: Callable[[int, int], None] | None = None,
) -> Coverage:
    """Reckon an area with `jobs` processes; `told` hears how many bearings of how many are done.

    Every missing tile is named before the work begins. Without `sums` the fastest loops that are installed.
    Raises TileError where the ground cannot be read.
    """
    tiles = TileFolder(area.folder, missing_is_sea=area.missing_is_sea)
    tiles.require(_outline(area))
    site = area.here.lat_deg, area.here.lon_deg
    ground_m = tiles.height_m(*site)
    antenna_m, note = antenna_over(ground_m or 0.0, area.here, "here")
    bearings = [number * area.step_deg for number in range(area.bearings)]
    rays: list[Ray] = []
    with _rays(area, antenna_m, bearings, jobs, sums) as coming:
        for ray in coming:
            rays.append(ray)
            if told:
                told(len(rays), len(bearings))
    mean_m = sum(ray.sum_m for ray in rays) / sum(ray.points for ray in rays)
    notes = (*([note] if note else []), *_ground_notes(rays, void_site=ground_m is None))
    return Coverage(area, tuple(rays), antenna_m, ground_m or 0.0, mean_m, notes)


def jobs_for(area: Area, processors: int, sums: Sums) -> int:
    """Return how many processes are worth their start."""
    passed = area.bearings * area.distances * _POINTS_A_BEARING / 2 * min(1.0, area.range_m / 100_000)
    enough = _POINTS_A_PROCESS if sums is PLAIN else _POINTS_A_PROCESS_WITH_ARRAYS
    return max(1, min(processors, int(passed / enough) + 1))


def reckon_ray(
    area: Area, tiles: TileFolder, antenna_m: float, bearing_deg: float, sums: Sums = PLAIN
) -> Ray:
    """Reckon one bearing."""
    step_m = max(area.range_m / _POINTS_A_BEARING, tiles.spacing_m(area.here.lat_deg, area.here.lon_deg))
    # Every distance asked for is a point of the profile.
    per_ring = max(1, round(area.ring_m / step_m))
    site = area.here.lat_deg, area.here.lon_deg
    profile = profile_out(tiles, site, bearing_deg, area.range_m, area.ring_m / per_ring)
    distances_km, heights_m = sums.row(profile.distances_km), sums.row(profile.heights_m)
    setting = Setting(area.radios.hertz, MEDIAN_RADIUS_M)
    strengths = []
    for number in range(1, area.distances + 1):
        end = min(number * per_ring + 1, len(profile.heights_m))
        far_m, _ = antenna_over(profile.heights_m[end - 1], area.there, "there")
        course = Course(distances_km[:end], heights_m[:end], antenna_m, far_m)
        loss_db = terrain_loss(course, setting, sums).loss_db
        slant = slant_m(1000 * course.length_km, antenna_m, far_m)
        strengths.append(area.radios.received_dbm(free_space_loss_db(area.radios.hertz, slant) + loss_db))
    return Ray(
        bearing_deg,
        tuple(strengths),
        sum(profile.heights_m),
        len(profile.heights_m),
        profile.void_points,
        profile.sea_tiles,
    )


@contextmanager
def _rays(
    area: Area, antenna_m: float, bearings: Sequence[float], jobs: int, sums: Sums | None
) -> Iterator[Iterator[Ray]]:
    """Give the rays in order, from this process or from several."""
    if jobs <= 1:
        tiles = TileFolder(area.folder, missing_is_sea=area.missing_is_sea)
        chosen = sums or fastest_sums()
        yield (reckon_ray(area, tiles, antenna_m, bearing, chosen) for bearing in bearings)
        return
    import multiprocessing  # noqa: PLC0415 - only here, and it takes its time
    from concurrent.futures import ProcessPoolExecutor  # noqa: PLC0415

    # A fresh process: a fork would copy whatever threads and locks this one has.
    context = multiprocessing.get_context("spawn")
    pool = ProcessPoolExecutor(
        min(jobs, len(bearings)), context, initializer=_prepare, initargs=(area, antenna_m, sums is PLAIN)
    )
    try:
        yield pool.map(_work, bearings, chunksize=2)
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


_prepared: dict[str, Any] = {}
"""What a worker process keeps between bearings: its open tiles, and numpy if it is there."""


def _prepare(area: Area, antenna_m: float, plain: bool) -> None:
    # Ctrl+C reaches every process of the terminal: the first one alone answers it.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    tiles = TileFolder(area.folder, missing_is_sea=area.missing_is_sea)
    _prepared["call"] = (area, tiles, antenna_m), PLAIN if plain else fastest_sums()


def _work(bearing_deg: float) -> Ray:
    (area, tiles, antenna_m), sums = _prepared["call"]
    return reckon_ray(area, tiles, antenna_m, bearing_deg, sums)


def _outline(area: Area) -> Iterator[tuple[float, float]]:
    """Give places so close together that no tile in range is passed over."""
    for number in range(max(72, area.bearings)):
        bearing_deg = number * 360 / max(72, area.bearings)
        count = max(2, int(area.range_m / 3000) + 1)
        yield from points_out(area.here.lat_deg, area.here.lon_deg, bearing_deg, area.range_m, count)


def _ground_notes(rays: Sequence[Ray], *, void_site: bool) -> list[str]:
    notes = []
    voids, points = sum(ray.void_points for ray in rays), sum(ray.points for ray in rays)
    if void_site:
        notes.append("the tile has no height at the station: sea level is taken; give --height-m")
    if voids:
        notes.append(f"the tiles have no height at {voids} of {points} points: straight lines stand for them")
    sea = sorted({name for ray in rays for name in ray.sea_tiles})
    if sea:
        notes.append(f"taken as sea, since there is no tile: {', '.join(sea[:6])}{' ...' if sea[6:] else ''}")
    return notes
