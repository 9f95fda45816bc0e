"""What reading a long journal costs: python -m tests.bench.bench_replay [--lines 1000000] [--profile]

The lines are those of the sample outing, again and again, chained again, with contact ids of their own. Compared are:

* the least: split, decode every line with msgspec, and check the chain, nothing else;
* the replay: what `show` and a resuming screen do, recovery rules and every fold included.

Compare ratios.
"""

from __future__ import annotations

import argparse
import cProfile
import pstats
import tempfile
import time
import zlib
from collections.abc import Callable
from datetime import timedelta
from itertools import count
from pathlib import Path

import msgspec

from fieldtui.journal.events import KINDS
from fieldtui.journal.file import Journal
from fieldtui.journal.line import TAIL_BYTES, Envelope, encode_line
from fieldtui.journal.stamp import Stamp
from fieldtui.power.median import median
from fieldtui.session.state import SessionState

SAMPLE = Path(__file__).parents[2] / "sample_sessions" / "2026-06-14-1650-larkspur-ridge.jsonl"


def write_long(path: Path, lines: int) -> None:
    """A journal of so many lines: the outing, over and over, each a little later than the one before."""
    read = msgspec.json.Decoder(Envelope).decode
    outing = [read(line) for line in SAMPLE.read_bytes().splitlines()]
    length = outing[-1].mono - outing[0].mono + 60
    seed = written = 0
    with path.open("wb") as file:
        for number in count():
            if written == lines:
                break
            for envelope in outing:
                if written == lines:
                    break
                # One session without an end: after the close a reading counts no more.
                if envelope.kind == "session-closed" or (number and envelope.kind == "session-opened"):
                    continue
                data = bytes(envelope.data).replace(b'"id":"', b'"id":"%d-' % number)
                later = number * length
                stamp = Stamp(envelope.at + timedelta(seconds=later), envelope.mono + later, envelope.boot)
                written += 1
                line, seed = encode_line(written, stamp, envelope.kind, data, seed)
                file.write(line)


def least(path: Path) -> int:
    """Decode every line and its event, and check the chain."""
    read = msgspec.json.Decoder(Envelope).decode
    readers = {kind: msgspec.json.Decoder(event).decode for kind, event in KINDS.items()}
    seed = found = 0
    with path.open("rb") as file:
        for line in file:
            envelope = read(line)
            if zlib.crc32(line[: -TAIL_BYTES - 1], seed) != int(envelope.sum, 16):
                raise ValueError(f"line {envelope.seq} does not follow")
            seed = int(envelope.sum, 16)
            readers[envelope.kind](envelope.data)
            found += 1
    return found


def replay(path: Path) -> int:
    """Fold the journal as the program does."""
    state = SessionState()
    with Journal(path, writable=False) as journal:
        for batch in journal.follow():
            state.apply_all(batch.envelopes)
    return state.lines


def main() -> None:
    """Print seconds of processor time and the ratio."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--lines", type=int, default=1_000_000)
    parser.add_argument("--rounds", type=int, default=3)
    parser.add_argument("--profile", action="store_true", help="where the replay's time goes")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "long.jsonl"
        write_long(path, options.lines)
        costs: dict[Callable[[Path], int], list[float]] = {least: [], replay: []}
        # In turn, since a busy machine is now faster and now slower.
        for _ in range(options.rounds):
            for work, seconds in costs.items():
                begun = time.process_time()
                lines = work(path)
                seconds.append(time.process_time() - begun)
                print(f"{work.__name__:8} {lines:9} lines  {seconds[-1]:7.2f} s")
        print(f"ratio    {median(costs[replay]) / median(costs[least]):.2f} of the medians")
        if options.profile:
            with cProfile.Profile() as profile:
                replay(path)
            pstats.Stats(profile).sort_stats("tottime").print_stats(25)


if __name__ == "__main__":
    main()
