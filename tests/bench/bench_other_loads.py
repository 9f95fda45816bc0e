"""How well overs are found beside other loads: recall and precision over made-up mixes, for each shape.

python -m tests.bench.bench_other_loads [--traces 200] [--first-seed 1000] [--list]

The figures of the detector were chosen with seeds below 100; those from 1000 on, which are of other shapes,
are for the report.
"""

from __future__ import annotations

import argparse

from tests.bench.bench_transmit import Score, detect, score
from tests.power.other_loads import make_mix, shape


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--traces", type=int, default=200)
    parser.add_argument("--first-seed", type=int, default=1000)
    parser.add_argument("--list", action="store_true", help="name every over missed and every false one")
    options = parser.parse_args()
    groups: dict[str, Score] = {}
    total = Score()
    for seed in range(options.first_seed, options.first_seed + options.traces):
        step, load, switched = shape(seed)
        trace = make_mix(seed)
        told = detect(trace)
        for name in ("all", step, load, switched):
            score(trace, told, groups.setdefault(name, Score()))
        score(trace, told, total)
    print(f"{'group':24} {'overs':>6} {'missed':>6} {'told':>6} {'false':>6} {'recall':>8} {'precision':>9}")
    for name, one in groups.items():
        missed, false = one.long_overs - one.found, one.told - one.true_told
        print(
            f"{name:24} {one.long_overs:6} {missed:6} {one.told:6} {false:6} {100 * one.recall:7.2f}% {100 * one.precision:8.2f}%"
        )
    for line in (*total.missed, *total.false) if options.list else ():
        print("  ", line)


if __name__ == "__main__":
    main()
