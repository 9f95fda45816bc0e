"""`fieldtui calc reach`: how far a station is heard."""

from __future__ import annotations

import argparse
import os
from typing import TYPE_CHECKING, Any

from fieldtui.cli.calc import Answer, Calculator
from fieldtui.cli.calc.ground import (
    USUAL_MHZ,
    USUAL_WATTS,
    add_radio_options,
    add_terrain_options,
    drawing_size,
    near_of,
    over_ground,
    write_svg,
)
from fieldtui.cli.calc.path import read_end
from fieldtui.cli.calc.power import whole
from fieldtui.cli.numbers import number
from fieldtui.cli.progress import Progress
from fieldtui.cli.station_loading import load_station
from fieldtui.cli.units import add_units_option, unit_of
from fieldtui.radio.units import METRES_PER_MILE, Unit

if TYPE_CHECKING:
    from fieldtui.planning.coverage import Coverage
    from fieldtui.planning.path import End
    from fieldtui.planning.rings import Ring
    from fieldtui.planning.tiles import TileFolder
    from fieldtui.radio.path.link import Radios


LEAST_DIGITS_FOR_A_MAP = 6
"""Hill and valley within a wider cell make a map from its middle a map of nobody's place."""


def _configure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("here", metavar="A", help="a locator (its middle), or LAT,LON in degrees")
    add_radio_options(parser)
    parser.add_argument("--height-there-m", type=number, metavar="M", help="the same at the far end (2)")
    parser.add_argument(
        "--antenna-there-m", type=number, default=2.0, metavar="M", help="far antennas above the ground (2)"
    )
    add_terrain_options(parser)
    add_units_option(parser)
    parser.add_argument(
        "--range-km", type=number, default=100.0, metavar="KM", help="with terrain: how far (100)"
    )
    parser.add_argument("--bearings", type=whole, default=72, metavar="N", help="with terrain: how many (72)")
    parser.add_argument("--distances", type=whole, default=40, metavar="N", help="on each bearing (40)")
    parser.add_argument("--jobs", type=whole, metavar="N", help="processes (as many as are worth it)")


def _answer(options: argparse.Namespace) -> Answer:
    from fieldtui.planning.path import frequency_notes  # noqa: PLC0415
    from fieldtui.radio.path.link import UNCERTAINTY_DB  # noqa: PLC0415

    loaded = load_station(None)
    near, unit = near_of(options, loaded), unit_of(options, loaded)
    here = read_end(options.here, options.height_m, near.antenna_m)
    there = read_end("0,0", options.height_there_m, options.antenna_there_m)

    def covered(tiles: TileFolder | None) -> Coverage | None:
        return _coverage(options, tiles, near.radios, here, there) if tiles else None

    coverage, ground = over_ground(options, loaded, covered)
    assumed = [*near.notes, *ground.notes, *frequency_notes(near.radios.hertz), *_cell_notes(here, unit)]
    if coverage is None:
        if options.svg is not None:
            raise ValueError(f"--svg draws the ground: {ground.note or 'give --terrain DIR'}")
        answer = _smooth(near.radios, assumed, here, there, unit)
    else:
        answer = _terrain(options, coverage, assumed)
    doubts = {
        "terrain": ground.folder,
        "place_uncertainty_m": round(here.uncertainty_m, 1),
        "uncertainty_db": UNCERTAINTY_DB,
    }
    return Answer(answer.values | doubts, answer.lines)


def _cell_notes(here: End, unit: Unit) -> list[str]:
    """Say that the rings are drawn around a place that is not known exactly."""
    if here.cell is None:
        return []
    about = _distance(here.uncertainty_m, unit)
    return [f"the station is somewhere in {here.cell.locator}: the rings may lie {about} aside"]


def _smooth(radios: Radios, assumed: list[str], here: End, there: End, unit: Unit) -> Answer:
    heights = [end.antenna_m if end.height_m is None else end.height_m for end in (here, there)]
    level_m = min(0.0, *heights)
    notes = [
        *assumed,
        "a smooth earth at sea level is assumed (--terrain takes the ground); hills take more",
    ]
    if level_m < 0:
        notes.append(f"an antenna below sea level: the smooth earth is taken at {level_m:g} m")
    values, lines = _rings(radios, heights[0] - level_m, heights[1] - level_m, unit)
    return Answer(values | {"notes": notes}, (*lines, *(f"note      {note}" for note in notes)))


def _rings(
    radios: Radios, height1_m: float, height2_m: float, unit: Unit
) -> tuple[dict[str, Any], list[str]]:
    from fieldtui.planning.rings import rings  # noqa: PLC0415
    from fieldtui.radio.path.earth import horizon_m  # noqa: PLC0415

    horizons_m = horizon_m(height1_m) + horizon_m(height2_m)
    found = rings(radios, height1_m, height2_m)
    values = {
        "horizon_m": round(horizons_m, 1),
        "rings": [{"s_units": ring.s_units, "distance_m": round(ring.distance_m, 1)} for ring in found],
    }
    heights = f"antennas {height1_m:.0f} m and {height2_m:.0f} m above the smooth earth"
    lines = [f"horizon   {_distance(horizons_m, unit)} for both, {heights}"]
    return values, lines + _ring_lines(found, unit)


def _ring_lines(found: list[Ring], unit: Unit) -> list[str]:
    longest = max((ring.distance_m for ring in found), default=1.0)
    return [
        f"S{ring.s_units}        to {_distance(ring.distance_m, unit):>9}  "
        f"{'#' * max(1, round(40 * ring.distance_m / longest))}"
        for ring in found
    ] + ["expected on the IARU scale, +- 10 dB (nearly two S units)"]


def _distance(metres: float, unit: Unit) -> str:
    value = metres / (METRES_PER_MILE if unit == "mi" else 1000)
    return f"{value:.1f} {unit}" if value < 9.95 else f"{value:.0f} {unit}"


def _coverage(
    options: argparse.Namespace, tiles: TileFolder, radios: Radios, here: End, there: End
) -> Coverage:
    from fieldtui.planning.coverage import Area, jobs_for, reckon_coverage  # noqa: PLC0415

    if here.cell is not None and len(here.cell.locator) < LEAST_DIGITS_FOR_A_MAP:
        raise ValueError(
            f"{here.cell.locator} is too wide for a map over terrain: give {LEAST_DIGITS_FOR_A_MAP} characters or "
            "more, or LAT,LON"
        )
    from fieldtui.radio.path.array_sums import fastest_sums  # noqa: PLC0415

    area = Area(
        tiles.folder,
        here,
        there,
        radios,
        1000 * options.range_km,
        bearings=options.bearings,
        distances=options.distances,
        missing_is_sea=options.missing_is_sea,
    )
    jobs = jobs_for(area, os.cpu_count() or 1, fastest_sums()) if options.jobs is None else options.jobs
    if not 1 <= jobs <= 256:
        raise ValueError(f"1 to 256 processes, not {jobs}")
    with Progress("bearings") as progress:
        return reckon_coverage(area, jobs=jobs, told=progress.show)


def _terrain(options: argparse.Namespace, coverage: Coverage, assumed: list[str]) -> Answer:
    from fieldtui.planning.draw_coverage import directions, draw_coverage  # noqa: PLC0415

    area = coverage.area
    values, lines = _rings(area.radios, coverage.height_m, area.there.antenna_m, unit_of(options))
    level = f"the mean of the ground in range, {coverage.mean_ground_m:.0f} m, or the ground here where that is lower"
    notes = [*assumed, f"rings and horizon are over a smooth earth at {level}", *coverage.notes]
    if options.svg is not None:
        from fieldtui.outputs.pictures.coverage import coverage_svg  # noqa: PLC0415

        notes.append(
            write_svg(coverage_svg(coverage, options.here.strip()), options.svg, replace=options.replace)
        )
    columns, _ = drawing_size()
    drawn = draw_coverage(coverage, width=min(columns, 80), height=42)
    values |= {"coverage": _coverage_values(coverage), "notes": notes}
    shown = [*lines, "", *drawn, "", *directions(coverage), *(f"note      {note}" for note in notes)]
    return Answer(values, tuple(shown))


def _coverage_values(coverage: Coverage) -> dict[str, Any]:
    area = coverage.area
    return {
        "height_m": round(coverage.antenna_m, 1),
        "mean_ground_m": round(coverage.mean_ground_m, 1),
        "distances_m": [round(step * area.ring_m, 1) for step in range(1, area.distances + 1)],
        "bearings": [
            {"bearing_deg": round(ray.bearing_deg, 3), "received_dbm": [round(dbm, 2) for dbm in ray.dbm]}
            for ray in coverage.rays
        ],
    }


CALCULATORS = {
    "reach": Calculator(
        "How far a station is heard: rings of expected S units over a smooth earth; with --terrain a map, too. "
        "Heights are above the sea. Estimates: +- 10 dB at best. "
        f"Without --watts the station of your station file, without one {USUAL_WATTS:g} W; "
        f"without --mhz {USUAL_MHZ:g} MHz.",
        "fieldtui calc reach CN94hb --mhz 146.52 --watts 10 --height-m 1200",
        _configure,
        _answer,
    ),
}
"""The calculators of this file by the word after `calc`."""
