"""How often the true charge lies in the stated interval, with and without gaps in the readings, and how wide that is.

python -m tests.bench.bench_charge [--sessions 5000]
"""

from __future__ import annotations

import argparse

from tests.power.gap_sessions import gap_session


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--sessions", type=int, default=5000)
    sessions = parser.parse_args().sessions
    print(f"{'sessions':34} {'inside':>8} {'worst':>12} {'mean width':>12}")
    for name, gaps, charger in (
        ("without gaps", False, False),
        ("gaps, load alone", True, False),
        ("gaps, a charger in them", True, True),
    ):
        inside, worst, width = 0, 0.0, 0.0
        for seed in range(sessions):
            truth, band = gap_session(seed, gaps=gaps, charger=charger)
            off = max(band.low_percent - truth, truth - band.high_percent, 0.0)
            inside, worst, width = inside + (off < 0.01), max(worst, off), width + band.width
        print(f"{name:34} {100 * inside / sessions:7.2f}% {worst:5.1f} points {width / sessions:5.1f} points")


if __name__ == "__main__":
    main()
