"""A path between two places, calculated: distance, line of sight, losses, and the strength to expect."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from fieldtui.planning.cells import Spread, distances_m, pairs_between
from fieldtui.planning.profile import TerrainProfile, profile_between
from fieldtui.planning.tiles import TileError, TileFolder
from fieldtui.radio.geodesy import Path, path_between
from fieldtui.radio.level import Signal
from fieldtui.radio.locator import Cell
from fieldtui.radio.path.clearance import Clearance, tightest
from fieldtui.radio.path.course import Course
from fieldtui.radio.path.earth import MEDIAN_RADIUS_M, horizon_m
from fieldtui.radio.path.free_space import free_space_loss_db
from fieldtui.radio.path.link import UNCERTAINTY_DB, Radios, slant_m
from fieldtui.radio.path.round_earth import Setting, round_earth_loss_db
from fieldtui.radio.path.terrain_loss import terrain_loss

USUAL_ANTENNA_M = 2.0
"""Above the ground: a whip on a table, or in a hand held up."""
LOWEST_M, HIGHEST_M = -430.0, 50_000.0
"""Above the sea: the shore of the Dead Sea, and the top of the air that these formulas are for."""


@dataclass(frozen=True, slots=True)
class End:
    """One end: its place, how far it may be off (metres), and its antenna.

    `height_m` is the antenna's height above the sea, or None if it is not known; `antenna_m` its height above
    the ground. `cell` is that of a locator where no more is known of the place: all of it counts.
    """

    lat_deg: float
    lon_deg: float
    uncertainty_m: float = 0.0
    height_m: float | None = None
    antenna_m: float = USUAL_ANTENNA_M
    cell: Cell | None = None

    @property
    def point(self) -> tuple[float, float]:
        """Degrees north and east."""
        return self.lat_deg, self.lon_deg

    def __post_init__(self) -> None:
        """Refuse heights that no station has, with one line."""
        if self.height_m is not None and not LOWEST_M <= self.height_m <= HIGHEST_M:
            raise ValueError(
                f"a height of {self.height_m:g} m is out of range: metres above the sea, "
                f"{LOWEST_M:g} (the lowest shore) to {HIGHEST_M:g}"
            )
        if not 0 <= self.antenna_m <= 1000:
            raise ValueError(
                f"an antenna stands 0 to 1000 m above the ground, not {self.antenna_m:g}: "
                "--height-m is the height above the sea"
            )


@dataclass(frozen=True, slots=True)
class Reckoning:
    """What the way between two antennas does to a signal.

    `height1_m` and `height2_m` are the antennas above the sea, `horizon_m` the sum of both horizons over a smooth
    earth. `profile` and `clearance` are None without terrain. `spread` is what the cells of the locators leave open;
    `no_strength` says in words why no strength can be told, and then `signal`, `low` and `high` are no answer.
    """

    height1_m: float
    height2_m: float
    horizon_m: float
    line_of_sight: bool
    free_space_db: float
    diffraction_db: float
    ridge_db: float
    round_earth_db: float
    dbm: float
    signal: Signal
    low: Signal
    high: Signal
    profile: TerrainProfile | None
    clearance: Clearance | None
    notes: tuple[str, ...]
    spread: Spread | None = None
    no_strength: str = ""

    @property
    def uncertainty_db(self) -> float:
        """How far off the strength may be, either way: of the formulas, and of the cells."""
        if self.spread is None:
            return UNCERTAINTY_DB
        aside = max(self.dbm - self.spread.weakest_dbm, self.spread.strongest_dbm - self.dbm)
        return UNCERTAINTY_DB + aside

    @property
    def sight_words(self) -> str:
        """Whether the antennas see each other, of cells whether all of them do."""
        if self.spread is not None and self.spread.sight_varies:
            return "in line of sight from part of the cell only"
        return "in line of sight" if self.line_of_sight else "beyond line of sight"

    @property
    def strength_words(self) -> str:
        """The strength to expect on the IARU scale, with its doubt, or that there is none to be told."""
        if self.no_strength:
            return f"no strength: {self.no_strength}"
        between = " to ".join(dict.fromkeys((self.low.text, self.high.text)))
        cells = ", the cells of the locators counted" if self.spread else ""
        return f"{between} expected, within {math.ceil(self.uncertainty_db)} dB{cells}"


@dataclass(frozen=True, slots=True)
class ReckonedPath:
    """A way over the ground, what is not known of it, and what it does; `reckoning` is None for one place."""

    way: Path
    uncertainty_m: float
    bearing_uncertainty_deg: float | None
    reckoning: Reckoning | None


def reckon_path(here: End, there: End, radios: Radios, tiles: TileFolder | None = None) -> ReckonedPath:
    """Reckon a path, over the terrain of `tiles` or else over a smooth earth at sea level."""
    way = path_between(here.lat_deg, here.lon_deg, there.lat_deg, there.lon_deg)
    uncertainty_m = here.uncertainty_m + there.uncertainty_m
    if way.distance_m < 1:
        return ReckonedPath(way, uncertainty_m, None, None)
    turn_deg = math.degrees(math.asin(min(1.0, uncertainty_m / way.distance_m)))
    if tiles is None:
        reckoning = _over_smooth_earth(here, there, radios, way.distance_m)
    else:
        reckoning = _over_terrain(here, there, radios, way.distance_m, tiles)
    if here.cell is not None or there.cell is not None:
        reckoning = _over_cells(here, there, radios, reckoning, tiles)
    return ReckonedPath(way, uncertainty_m, turn_deg, reckoning)


def _over_cells(
    here: End, there: End, radios: Radios, middle: Reckoning, tiles: TileFolder | None
) -> Reckoning:
    """Add what the cells of the locators leave open of a path that was calculated from their middles."""
    near_m, far_m = distances_m(here.point, here.cell, there.point, there.cell)
    lacking: list[str] = []
    if tiles is None:
        others = [_over_smooth_earth(here, there, radios, max(1.0, metres)) for metres in (near_m, far_m)]
    else:
        others = list(_over_ground(here, there, radios, tiles, lacking))
    found = [middle, *others]
    strengths = [one.dbm for one in found]
    sights = {one.line_of_sight for one in found}
    spread = Spread(near_m, far_m, min(strengths), max(strengths), len(sights) > 1)
    return replace(
        middle,
        low=radios.signal(spread.weakest_dbm - UNCERTAINTY_DB),
        high=radios.signal(spread.strongest_dbm + UNCERTAINTY_DB),
        spread=spread,
        no_strength=_why_no_strength(radios, spread, near_m),
        notes=(*middle.notes, *lacking[:1]),
    )


def _why_no_strength(radios: Radios, spread: Spread, near_m: float) -> str:
    """Say why two cells are too wide for one strength, or nothing."""
    advice = "give a longer locator, or LAT,LON"
    if near_m < 1:
        return f"both stations may be at one place, so wide are the cells of the locators: {advice}"
    nothing_anywhere = spread.strongest_dbm + UNCERTAINTY_DB < radios.dbm_of_s_units(1)
    if not spread.too_wide or nothing_anywhere:
        return ""
    least, most = (radios.signal(dbm).text for dbm in (spread.weakest_dbm, spread.strongest_dbm))
    return f"within the cells of the locators it is anything from {least} to {most}: {advice}"


def _over_ground(
    here: End, there: End, radios: Radios, tiles: TileFolder, lacking: list[str]
) -> Iterator[Reckoning]:
    """Calculate from other points of the cells; where a tile for one is missing, `lacking` is told."""
    for one, other in _other_ways(pairs_between(here.point, here.cell, there.point, there.cell)):
        moved = (
            replace(here, lat_deg=one[0], lon_deg=one[1]),
            replace(there, lat_deg=other[0], lon_deg=other[1]),
        )
        metres = path_between(*one, *other).distance_m
        if metres < 1:
            continue
        try:
            yield _over_terrain(*moved, radios, metres, tiles)
        except TileError as error:
            lacking.append(f"part of the cell is not counted: {error}")


def _other_ways(
    ways: Iterable[tuple[tuple[float, float], tuple[float, float]]],
) -> Iterator[tuple[tuple[float, float], tuple[float, float]]]:
    """Leave out the first way, from middle to middle, which is calculated already."""
    rest = iter(ways)
    next(rest)
    yield from rest


def _over_smooth_earth(here: End, there: End, radios: Radios, distance_m: float) -> Reckoning:
    given = [end.antenna_m if end.height_m is None else end.height_m for end in (here, there)]
    level = min(0.0, *given)
    height1_m, height2_m = (height - level for height in given)
    horizons_m = horizon_m(height1_m) + horizon_m(height2_m)
    loss_db = round_earth_loss_db(distance_m, height1_m, height2_m, Setting(radios.hertz, MEDIAN_RADIUS_M))
    notes = [
        "a smooth earth at sea level is assumed (--terrain takes the ground); hills in the way take more"
    ]
    if level < 0:
        notes.append(f"an antenna below sea level: the smooth earth is taken at {level:g} m")
    return _summed(
        radios,
        distance_m,
        (given[0], given[1]),
        horizons_m=horizons_m,
        line_of_sight=distance_m <= horizons_m,
        ridge_db=0.0,
        round_earth_db=loss_db,
        notes=notes,
    )


def _over_terrain(here: End, there: End, radios: Radios, distance_m: float, tiles: TileFolder) -> Reckoning:
    places = (here.lat_deg, here.lon_deg), (there.lat_deg, there.lon_deg)
    profile = profile_between(tiles, *places, distance_m)
    notes = terrain_notes(profile)
    height1_m, note1 = antenna_over(profile.heights_m[0], here, "here")
    height2_m, note2 = antenna_over(profile.heights_m[-1], there, "there")
    notes += [note for note in (note1, note2) if note]
    course = Course(profile.distances_km, profile.heights_m, height1_m, height2_m)
    loss = terrain_loss(course, Setting(radios.hertz, MEDIAN_RADIUS_M))
    return _summed(
        radios,
        distance_m,
        (height1_m, height2_m),
        horizons_m=horizon_m(loss.height1_m) + horizon_m(loss.height2_m),
        line_of_sight=loss.ridge.clear,
        ridge_db=loss.ridge.loss_db,
        round_earth_db=loss.round_earth_db,
        notes=notes,
        profile=profile,
        clearance=tightest(course, radios.hertz),
    )


def antenna_over(ground_m: float, end: End, where: str) -> tuple[float, str | None]:
    """Return an antenna's height above the sea over ground that is known, and what has to be said of it."""
    if end.height_m is None:
        return ground_m + end.antenna_m, None
    if end.height_m >= ground_m:
        return end.height_m, None
    raised_m = ground_m + end.antenna_m
    return raised_m, (
        f"{end.height_m:g} m above the sea is under the ground {where} ({ground_m:.0f} m): "
        f"{raised_m:.0f} m is taken, {end.antenna_m:g} m above it"
    )


def terrain_notes(profile: TerrainProfile) -> list[str]:
    """Say what the tiles did not hold."""
    notes = []
    if profile.void_points:
        notes.append(
            f"the tiles have no height at {profile.void_points} of {len(profile.heights_m)} points: straight lines "
            f"stand for them, over {profile.longest_void_m / 1000:.1f} km at most"
        )
    if profile.sea_tiles:
        shown = ", ".join(profile.sea_tiles[:6]) + (" ..." if len(profile.sea_tiles) > 6 else "")
        notes.append(f"taken as sea, since there is no tile: {shown}")
    return notes


def _summed(
    radios: Radios,
    distance_m: float,
    heights_m: tuple[float, float],
    *,
    horizons_m: float,
    line_of_sight: bool,
    ridge_db: float,
    round_earth_db: float,
    notes: list[str],
    profile: TerrainProfile | None = None,
    clearance: Clearance | None = None,
) -> Reckoning:
    free_db = free_space_loss_db(radios.hertz, slant_m(distance_m, *heights_m))
    dbm = radios.received_dbm(free_db + ridge_db + round_earth_db)
    return Reckoning(
        height1_m=heights_m[0],
        height2_m=heights_m[1],
        horizon_m=horizons_m,
        line_of_sight=line_of_sight,
        free_space_db=free_db,
        diffraction_db=ridge_db + round_earth_db,
        ridge_db=ridge_db,
        round_earth_db=round_earth_db,
        dbm=dbm,
        signal=radios.signal(dbm),
        low=radios.signal(dbm - UNCERTAINTY_DB),
        high=radios.signal(dbm + UNCERTAINTY_DB),
        profile=profile,
        clearance=clearance,
        notes=(*notes, *_limits(radios, dbm, line_of_sight=line_of_sight)),
    )


def _limits(radios: Radios, dbm: float, *, line_of_sight: bool) -> list[str]:
    """Say what is not calculated, where it would matter."""
    told = []
    if not line_of_sight and dbm + UNCERTAINTY_DB < radios.dbm_of_s_units(1):
        told.append(
            "too far for a signal bent over the ground; scatter, ducts and repeaters are not calculated and may "
            "carry it"
        )
    return [*told, *frequency_notes(radios.hertz)]


def frequency_notes(hertz: float) -> list[str]:
    """Say what is not calculated at very low and very high frequencies."""
    told = []
    if hertz < 30e6:
        told.append("below 30 MHz the sky carries farther than the ground: that is not calculated")
    if hertz > 10e9:
        told.append("above 10 GHz rain and air take more: that is not calculated")
    return told
