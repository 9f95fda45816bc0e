"""An area as lines of text: a map of S units, north up, the station in the middle."""

from __future__ import annotations

import math

from fieldtui.planning.coverage import Coverage
from fieldtui.radio.geodesy import compass_point

LEAST_WIDTH, LEAST_HEIGHT = 24, 12


def draw_coverage(coverage: Coverage, *, width: int = 78, height: int = 31) -> list[str]:
    """Return `height` lines of at most `width` characters; small sizes are taken as 24 x 12.

    Digits are expected S units, 9 for S9 and above, a dot for less than S1; beyond the range there is nothing.
    """
    rows = max(height, LEAST_HEIGHT) - 2
    # A character is about twice as high as wide.
    across = min(max(width, LEAST_WIDTH), 2 * rows)
    rows = min(rows, across // 2)
    lines = [_row(coverage, number, across, rows) for number in range(rows)]
    range_km = coverage.area.range_m / 1000
    edge = range_km / (across / 2)
    return [
        "N".center(across).rstrip(),
        *lines,
        f"@ station; digits: S units; '.': under S1; edge {range_km:g} km, {edge:.1f} km a column",
    ]


def _row(coverage: Coverage, number: int, across: int, rows: int) -> str:
    north = 1 - (2 * number + 1) / rows
    cells = []
    for column in range(across):
        east = (2 * column + 1) / across - 1
        cells.append(_cell(coverage, north, east, 1.01 / across, 1.01 / rows))
    return "".join(cells).rstrip()


def _cell(coverage: Coverage, north: float, east: float, half_east: float, half_north: float) -> str:
    if abs(north) <= half_north and 0 <= east <= 2 * half_east:
        return "@"
    away = math.hypot(north, east)
    if away > 1:
        return " "
    dbm = coverage.dbm_at(math.degrees(math.atan2(east, north)), away * coverage.area.range_m)
    if dbm is None:
        return " "
    return str(coverage.area.radios.signal(dbm).s_units or ".")


def farthest_m(coverage: Coverage, number: int, least_units: int = 1) -> float:
    """Return the farthest distance on a bearing (by its number) with that many S units or more; 0 if none."""
    radios, ray = coverage.area.radios, coverage.rays[number]
    least_dbm = radios.dbm_of_s_units(least_units)
    reached = [step for step, dbm in enumerate(ray.dbm, start=1) if dbm >= least_dbm]
    return reached[-1] * coverage.area.ring_m if reached else 0.0


def directions(coverage: Coverage) -> list[str]:
    """Return one line for each of eight directions: how far S1 is reached, and how much of the way is covered."""
    lines = []
    radios = coverage.area.radios
    for eighth in range(8):
        number = round(eighth * len(coverage.rays) / 8) % len(coverage.rays)
        heard = sum(dbm >= radios.dbm_of_s_units(1) for dbm in coverage.rays[number].dbm)
        far_km = farthest_m(coverage, number) / 1000
        share = 100 * heard / coverage.area.distances
        limit = (
            "the edge of the range" if far_km >= 0.999 * coverage.area.range_m / 1000 else f"{far_km:.0f} km"
        )
        lines.append(f"{compass_point(eighth * 45):<3} heard to {limit}, at {share:.0f} % of the distances")
    return lines
