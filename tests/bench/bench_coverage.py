"""How long an area takes: plain Python, numpy, and several processes, over made-up ground.

python -m tests.bench.bench_coverage [--bearings 24] [--distances 20] [--jobs 2]
"""

from __future__ import annotations

import argparse
import math
import os
import tempfile
from pathlib import Path
from time import perf_counter

from fieldtui.planning.coverage import Area, Coverage, reckon_coverage
from fieldtui.planning.path import End
from fieldtui.radio.path.array_sums import fastest_sums
from fieldtui.radio.path.link import Radios
from fieldtui.radio.path.sums import PLAIN
from tests.support.tiles import write_striped_tile


def hills(lon_deg: float) -> int:
    """Ranges from north to south."""
    return round(600 + 300 * math.sin(40 * lon_deg) + 80 * math.sin(173 * lon_deg))


def largest_difference_db(one: Coverage, other: Coverage) -> float:
    """Between the same places of two answers."""
    return max(
        abs(a - b)
        for ray, same in zip(one.rays, other.rays, strict=True)
        for a, b in zip(ray.dbm, same.dbm, strict=True)
    )


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--bearings", type=int, default=24)
    parser.add_argument("--distances", type=int, default=20)
    parser.add_argument("--range-km", type=float, default=40.0)
    parser.add_argument("--jobs", type=int, default=os.cpu_count() or 1)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        for tile in ("N44W122", "N44W121", "N43W122", "N43W121", "N45W122", "N45W121"):
            write_striped_tile(Path(name), tile, hills)
        area = Area(
            Path(name),
            End(44.5, -121.0, antenna_m=10),
            End(0, 0),
            Radios(146e6, 10),
            1000 * options.range_km,
            bearings=options.bearings,
            distances=options.distances,
        )
        ways = (
            ("plain Python, one process", 1, PLAIN),
            (f"plain Python, {options.jobs} processes", options.jobs, PLAIN),
            ("numpy, one process", 1, fastest_sums()),
            (f"numpy, {options.jobs} processes", options.jobs, None),
        )
        first: Coverage | None = None
        base = 0.0
        for words, jobs, sums in ways:
            began = perf_counter()
            answer = reckon_coverage(area, jobs=jobs, sums=sums)
            spent = perf_counter() - began
            first, base = first or answer, base or spent
            print(
                f"{words:<28} {spent:7.2f} s  {base / spent:5.1f} times  "
                f"largest difference {largest_difference_db(first, answer):.1e} dB"
            )


if __name__ == "__main__":
    main()
