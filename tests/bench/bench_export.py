"""What an export of a long journal costs: time, and the most memory that the process had.

    python -m tests.bench.bench_export [--lines 100000 1000000] [--to adif]

One line in three is a contact, the others are battery samples. Each export runs in a process of its own.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import tempfile
from datetime import UTC, datetime, timedelta
from pathlib import Path

from fieldtui.journal.event_types import Event
from fieldtui.journal.events import BatterySampled, ContactAmended, ContactLogged
from fieldtui.journal.line import FIRST_SEED, encode_data, encode_line, kind_of
from fieldtui.journal.stamp import Stamp
from fieldtui.session.opening import opening_event

BEGAN = datetime(2026, 6, 14, 17, 0, tzinfo=UTC)

MEASURE = """
import resource, sys, time
from fieldtui.cli.main import main
began = time.monotonic()
code = main(["export", sys.argv[1], "--to", sys.argv[2], "-o", sys.argv[3], "--replace"])
peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
print(f"{code} {time.monotonic() - began:.1f} {peak:.0f}")
"""


def event_of(number: int) -> Event:
    """The event of a line."""
    if number % 3:
        return BatterySampled(feed="shunt", volts=13.1, amps=-0.4, covered_seconds=1.0, out_amp_seconds=0.4)
    if number % 300 == 0 and number > 30_000:
        return ContactAmended(contact=f"{number - 30_000:010x}", name="Ines")
    return ContactLogged(
        id=f"{number:010x}", call=f"W{number % 10}QSL", sent="59", received="57", name="Rosa",
        locator="CN94hb", hertz=146_520_000, mode="FM", watts=10.0, remarks="on a bicycle",
    )  # fmt: skip


def write(path: Path, lines: int) -> None:
    """A journal through the codec that writes real ones."""
    seed = FIRST_SEED
    with path.open("wb") as file:
        for number in range(1, lines + 1):
            event = opening_event(station_call="W7QRV", locator="CN94fl") if number == 1 else event_of(number)
            stamp = Stamp(BEGAN + timedelta(seconds=number), float(number), "6f1c0a2b")
            line, seed = encode_line(number, stamp, kind_of(event), encode_data(event), seed)
            file.write(line)


def main() -> None:
    """Print a line for each length."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--lines", type=int, nargs="+", default=[100_000, 1_000_000])
    parser.add_argument("--to", default="adif")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory(prefix="fieldtui-bench-") as root:
        for lines in options.lines:
            path, out = Path(root) / f"{lines}.jsonl", Path(root) / "out"
            write(path, lines)
            done = subprocess.run(
                [sys.executable, "-c", MEASURE, str(path), options.to, str(out)],
                capture_output=True, text=True, check=True,
            )  # fmt: skip
            code, seconds, peak = done.stdout.split()[-3:]
            print(
                f"{lines} lines, {path.stat().st_size / 1e6:.0f} MB to {out.stat().st_size / 1e6:.0f} MB of "
                f"{options.to}: {seconds} s, at most {peak} MB of memory (exit {code})"
            )


if __name__ == "__main__":
    main()
