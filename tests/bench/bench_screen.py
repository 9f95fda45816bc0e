"""What the session screen costs, against the least Textual program: python -m tests.bench.bench_screen

    --runs 7          starts of each, in turn
    --seconds 30      of idling, both at the same time; once more with --saver
    --keys 120        letters typed into each, in turn

The last row is another comparison: resuming a session of 24 hours, until it says so, against a fresh one.

Each runs in a pseudo-terminal of its own, with compiled files present as a package installed by pip has them.
Start is from the exec to the first read that paints anything, and to the first that shows what is logged to;
memory is that of the process two seconds later; a key's time ends when the screen holds it. Compare ratios.
"""

from __future__ import annotations

import argparse
import os
import shutil
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path

from tests.bench.long_session import CONTACTS, write_day
from tests.support.terminal import Terminal, fieldtui

ROOT = Path(__file__).parents[2]
PAGE_BYTES = os.sysconf("SC_PAGE_SIZE")
LETTERS = "zqxjvwk"


class Contest:
    """Our screen and the floor, started the same way."""

    def __init__(self, stage: Path) -> None:
        self._stage = stage
        self._number = 0
        self._environment = {
            "PYTHONDONTWRITEBYTECODE": "",
            "PYTHONPYCACHEPREFIX": str(stage / "compiled"),
            "XDG_CONFIG_HOME": str(stage / "config"),
            "XDG_DATA_HOME": str(stage / "data"),
            "XDG_CACHE_HOME": str(stage / "cache"),
        }

    def ours(self, *options: str) -> Terminal:
        """A session with a fresh journal."""
        self._number += 1
        journal = self._stage / f"{self._number}.jsonl"
        return Terminal(fieldtui("session", "--journal", journal, *options), environment=self._environment)

    def resumed(self, journal: Path) -> Terminal:
        """A session that goes on."""
        return Terminal(fieldtui("session", "--journal", journal), environment=self._environment)

    def floor(self) -> Terminal:
        """The floor."""
        return Terminal([sys.executable, str(ROOT / "tests/bench/floor.py")], environment=self._environment)


def start(make: Callable[[], Terminal], marker: str) -> tuple[float, float, float]:
    """Seconds to anything visible, seconds to the marker, megabytes two seconds later."""
    begun = time.perf_counter()
    with make() as terminal:
        first = marked = 0.0
        while not marked:
            text, now = terminal.text, time.perf_counter() - begun
            if text.strip():
                first = first or now
                marked = now if marker in text else 0.0
            time.sleep(0.001)
        time.sleep(2)
        pages = int(Path(f"/proc/{terminal.process.pid}/statm").read_text().split()[1])
        return first, marked, pages * PAGE_BYTES / 1e6


def latency(terminal: Terminal, keys: int) -> list[float]:
    """Milliseconds from each letter to the screen that holds it."""
    told = []
    for number in range(keys):
        typed = LETTERS[number % len(LETTERS)]
        run = (typed * 6)[: number % 6 + 1] if number % 6 else typed
        before = terminal.text.count(typed)
        begun = time.perf_counter()
        terminal.send(typed)
        while terminal.text.count(typed) <= before:
            time.sleep(0.0005)
        told.append(1000 * (time.perf_counter() - begun))
        if len(run) == 6 or number % 6 == 5:
            terminal.send("\x7f" * 6)
            time.sleep(0.3)
        time.sleep(0.06)
    return told


def row(name: str, ours: float, floor: float, unit: str) -> None:
    """One line of the table."""
    print(f"{name:34} {ours:9.2f} {floor:9.2f} {unit:3} {ours / floor:7.2f}")


def main() -> None:
    """Print a table of ours, floor, ratio."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--runs", type=int, default=7)
    parser.add_argument("--seconds", type=float, default=30.0)
    parser.add_argument("--keys", type=int, default=120)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        contest = Contest(Path(folder))
        start(contest.ours, "F1 help"), start(contest.floor, "type here")  # compiles, and warms the disk
        pairs = [
            (start(contest.ours, "F1 help"), start(contest.floor, "type here")) for _ in range(options.runs)
        ]
        print(f"{'':34} {'ours':>9} {'floor':>9} {'':3} {'ratio':>7}")
        for index, (name, unit) in enumerate(
            (("start to first paint", "s"), ("start to the whole screen", "s"), ("memory", "MB"))
        ):
            our_median, floor_median = (
                statistics.median(pair[side][index] for pair in pairs) for side in (0, 1)
            )
            row(name, our_median, floor_median, unit)
        day = Path(folder) / "day.jsonl"
        lines = write_day(day)
        resumed, fresh = [], []
        for run in range(options.runs + 1):
            copy = Path(folder) / f"day-{run}.jsonl"
            shutil.copy(day, copy)
            resumed.append(start(partial(contest.resumed, copy), f"resumed: {CONTACTS} contacts")[1])
            fresh.append(start(contest.ours, "F1 help")[1])
        name = f"resume a day of {lines} lines, fresh"
        row(name, statistics.median(resumed[1:]), statistics.median(fresh[1:]), "s")
        for name, extra in (("idle", ()), ("idle, battery saver", ("--saver",))):
            with contest.ours(*extra) as ours, contest.floor() as floor:
                ours.wait_for("F1 help")
                floor.wait_for("type here")
                time.sleep(6)
                before = ours.cpu_seconds(), floor.cpu_seconds()
                time.sleep(options.seconds)
                used, at_least = ours.cpu_seconds() - before[0], floor.cpu_seconds() - before[1]
                row(f"{name}, of a core", 100 * used / options.seconds, 100 * at_least / options.seconds, "%")
        with contest.ours() as ours, contest.floor() as floor:
            ours.wait_for("F1 help")
            floor.wait_for("type here")
            time.sleep(1)
            told = latency(ours, options.keys), latency(floor, options.keys)
            for name, part in (("key to screen, half of all", 0.5), ("key to screen, 99 of 100", 0.99)):
                ours_ms, floor_ms = (sorted(each)[round(part * (len(each) - 1))] for each in told)
                row(name, ours_ms, floor_ms, "ms")


if __name__ == "__main__":
    main()
