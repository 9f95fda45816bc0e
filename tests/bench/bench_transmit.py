"""How well the transmit detector finds overs: precision and recall over made-up traces with known truth.

python -m tests.bench.bench_transmit [--traces 64] [--first-seed 1000] [--minutes 20] [--quiet-hours 16]
"""

from __future__ import annotations

import argparse
from dataclasses import dataclass, field
from statistics import median
from time import perf_counter

from fieldtui.power.transmit.detector import Edge, TransmitDetector
from tests.power.transmit_traces import Trace, make_trace

LONG_ENOUGH = 3.0
"""Overs longer than this many seconds must be found."""


@dataclass
class Score:
    """Counts over any number of traces."""

    long_overs: int = 0
    found: int = 0
    told: int = 0
    true_told: int = 0
    edges: int = 0
    edges_within: int = 0
    errors: list[float] = field(default_factory=list)
    missed: list[str] = field(default_factory=list)
    false: list[str] = field(default_factory=list)

    @property
    def recall(self) -> float:
        return self.found / self.long_overs if self.long_overs else 1.0

    @property
    def precision(self) -> float:
        return self.true_told / self.told if self.told else 1.0


def detect(trace: Trace) -> list[tuple[Edge, Edge | None]]:
    """Run a fresh detector over a trace; give the transmissions it tells."""
    detector = TransmitDetector()
    edges = [edge for seconds, amps in trace.samples for edge in detector.feed(seconds, amps)]
    starts = [edge for edge in edges if edge.kind == "start"]
    ends: list[Edge | None] = [edge for edge in edges if edge.kind == "end"]
    ends += [None] * (len(starts) - len(ends))
    return list(zip(starts, ends, strict=True))


def score(trace: Trace, told: list[tuple[Edge, Edge | None]], total: Score) -> None:
    """Add one trace. An over is found when one told transmission covers over 80 % of it and little else."""
    last = trace.samples[-1][0]
    spans = [(start.seconds, end.seconds if end else last) for start, end in told]
    for over in trace.overs:
        if over[1] - over[0] <= LONG_ENOUGH:
            continue
        total.long_overs += 1
        best = max(range(len(spans)), key=lambda i: _overlap(spans[i], over), default=None)
        if best is None or not _same(spans[best], over, 2.0 / trace.rate):
            total.missed.append(f"{trace.name}: {over[0]:.1f} to {over[1]:.1f}")
            continue
        total.found += 1
        _score_edges(told[best], over, total)
    for span in spans:
        total.told += 1
        if any(_overlap(span, over) > 0 for over in trace.overs):
            total.true_told += 1
        else:
            total.false.append(f"{trace.name}: {span[0]:.1f} to {span[1]:.1f}")


def _same(span: tuple[float, float], over: tuple[float, float], slack: float) -> bool:
    """Tell whether a span stands for an over: four fifths of it, and not much more than it."""
    return (
        _overlap(span, over) >= 0.8 * (over[1] - over[0]) - slack
        and span[1] - span[0] <= 1.25 * (over[1] - over[0]) + 2 * slack
    )


def _score_edges(told: tuple[Edge, Edge | None], over: tuple[float, float], total: Score) -> None:
    for edge, truth in zip(told, over, strict=True):
        if edge is None:
            continue
        total.edges += 1
        total.errors.append(abs(edge.seconds - truth))
        total.edges_within += abs(edge.seconds - truth) <= edge.uncertainty_seconds + 1e-6


def _overlap(a: tuple[float, float], b: tuple[float, float]) -> float:
    return max(0.0, min(a[1], b[1]) - max(a[0], b[0]))


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--traces", type=int, default=64)
    parser.add_argument("--first-seed", type=int, default=1000)
    parser.add_argument("--minutes", type=float, default=20.0)
    parser.add_argument("--quiet-hours", type=int, default=16)
    parser.add_argument("--list", action="store_true", help="name every over missed and every false one")
    options = parser.parse_args()
    total, quiet, samples, spent = Score(), Score(), 0, 0.0
    for number in range(options.traces + options.quiet_hours):
        is_quiet = number >= options.traces
        trace = make_trace(options.first_seed + number, 60.0 if is_quiet else options.minutes, quiet=is_quiet)
        began = perf_counter()
        told = detect(trace)
        spent += perf_counter() - began
        samples += len(trace.samples)
        score(trace, told, quiet if is_quiet else total)
    print(
        f"traces {options.traces}, overs longer than {LONG_ENOUGH:g} s {total.long_overs}, told {total.told}"
    )
    print(f"recall    {100 * total.recall:.2f} %   ({total.found} of {total.long_overs})")
    print(f"precision {100 * total.precision:.2f} %   ({total.true_told} of {total.told})")
    print(f"false in {options.quiet_hours} quiet hours: {quiet.told}")
    if total.errors:
        print(f"edge error median {median(total.errors):.2f} s, largest {max(total.errors):.2f} s")
        print(f"edges within their own uncertainty {100 * total.edges_within / total.edges:.1f} %")
    print(f"{1e6 * spent / samples:.1f} microseconds a sample")
    for line in (*total.missed, *total.false, *quiet.false) if options.list else ():
        print("  ", line)


if __name__ == "__main__":
    main()
