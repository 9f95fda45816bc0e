"""Made-up current traces with known truth, for the tests and the benchmark of the transmit detector.

Everything on the wire that is not the transmitter gets its own line on a fine grid: loudspeaker, fan, panel with
clouds, a charger that is plugged in and out, noise, now and then a wild sample. Deterministic for a seed.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass, field
from math import cos, exp, pi
from random import Random

GRID = 0.025
"""Seconds between grid points; edges and samples lie on the grid, so the truth is exact."""


@dataclass(frozen=True)
class Rig:
    """A station: amps in receive, of transmit above receive, of the loudspeaker, of the fan."""

    name: str
    receive: tuple[float, float]
    extra: tuple[float, float]
    speaker: tuple[float, float]
    fan: tuple[float, float]
    voice: bool = False  # the current follows the voice (SSB)


MOBILE = Rig("50 W FM mobile", (0.35, 0.9), (5.5, 10.0), (0.05, 0.5), (0.1, 0.35))
LOW = Rig("50 W FM mobile turned down", (0.35, 0.9), (2.4, 4.5), (0.05, 0.5), (0.1, 0.35))
HANDHELD = Rig("5 W handheld on the pack", (0.08, 0.25), (1.2, 1.8), (0.02, 0.15), (0.05, 0.12))
SSB = Rig("100 W SSB", (0.8, 1.6), (14.0, 19.0), (0.05, 0.5), (0.2, 0.5), voice=True)

RIGS = (MOBILE, LOW, HANDHELD, MOBILE, HANDHELD, SSB)
SUNS = ("none", "none", "none", "panel", "panel", "panel", "panel", "charger", "charger", "both")
RATES = (1.0, 2.0, 5.0, 10.0)


@dataclass
class Trace:
    """Samples as (seconds, amps) and the true overs as (start, end)."""

    name: str
    rate: float
    samples: list[tuple[float, float]]
    overs: list[tuple[float, float]]
    events: list[str] = field(default_factory=list)


@dataclass
class Made:
    """One trace in the making."""

    random: Random
    points: int
    amps: list[float]
    events: list[str] = field(default_factory=list)

    def add(self, start: float, end: float, amps: float) -> None:
        for i in range(max(0, round(start / GRID)), min(self.points, round(end / GRID))):
            self.amps[i] += amps


def make_trace(seed: int, minutes: float = 20.0, *, quiet: bool = False) -> Trace:
    """Make one trace; the seed picks the station, the sun, the sampling and everything else."""
    random = Random(seed)
    rig = RIGS[seed % len(RIGS)]
    rate = RATES[seed // len(RIGS) % len(RATES)]
    points = round(minutes * 60 / GRID)
    made = Made(random, points, [-random.uniform(*rig.receive)] * points)
    overs = [] if quiet else _overs(random, minutes * 60)
    _transmit(made, rig, overs)
    _speaker(made, rig, overs)
    _fan(made, rig, overs)
    sun = random.choice(SUNS)
    if sun in ("panel", "both"):
        _panel(made, random.uniform(1.0, 6.0))
    if sun in ("charger", "both"):
        _charger(made, random.uniform(2.0, 8.0))
    samples = sample_wire(made, rate)
    return Trace(f"{rig.name}, sun {sun}, {rate:g}/s", rate, samples, overs, made.events)


def _on_grid(seconds: float) -> float:
    return round(round(seconds / GRID) * GRID, 6)


def _overs(random: Random, seconds: float) -> list[tuple[float, float]]:
    overs: list[tuple[float, float]] = []
    at = random.uniform(10.0, 40.0)
    while True:
        length = min(max(random.lognormvariate(2.6, 0.9), 1.0), 170.0)
        start, end = _on_grid(at), _on_grid(at + length)
        if end > seconds - 40.0:
            return overs
        overs.append((start, end))
        at = end + min(max(random.lognormvariate(2.8, 0.8), 3.0), 150.0)


def _transmit(made: Made, rig: Rig, overs: list[tuple[float, float]]) -> None:
    extra = made.random.uniform(*rig.extra)
    for start, end in overs:
        if rig.voice:
            _voice(made, start, end, extra)
        else:
            made.add(start, end, -extra * made.random.uniform(0.97, 1.03))


def _voice(made: Made, start: float, end: float, peak: float) -> None:
    """Idle current of the final stage, and syllables of 0.1 to 0.4 s with pauses."""
    made.add(start, end, -0.18 * peak)
    at = start + made.random.uniform(0.1, 0.5)
    while at < end:
        syllable = made.random.uniform(0.1, 0.4)
        made.add(at, min(at + syllable, end), -peak * made.random.uniform(0.3, 0.82))
        pause = made.random.choice((0.05, 0.1, 0.1, 0.3, made.random.uniform(0.5, 2.0)))
        at += syllable + pause


def _speaker(made: Made, rig: Rig, overs: list[tuple[float, float]]) -> None:
    """Loudspeaker current while others talk: bursts between the overs."""
    loud = made.random.uniform(*rig.speaker)
    at = 0.0
    while at < made.points * GRID:
        talk = made.random.uniform(2.0, 40.0)
        while talk > 0:
            syllable = made.random.uniform(0.1, 0.5)
            if not _within(overs, at):
                made.add(at, at + syllable, -loud * made.random.uniform(0.2, 1.0))
            at += syllable + 0.05
            talk -= syllable + 0.05
        at += made.random.uniform(1.0, 60.0)


def _fan(made: Made, rig: Rig, overs: list[tuple[float, float]]) -> None:
    """A fan that starts 20 s into a long over and runs on for a minute, and one that minds the weather."""
    amps = made.random.uniform(*rig.fan)
    for start, end in overs:
        if end - start > 20.0:
            made.add(start + 20.0, end + 60.0, -amps)
    at = made.random.uniform(20.0, 300.0)
    while at < made.points * GRID:
        run = made.random.uniform(20.0, 120.0)
        made.add(at, at + run, -made.random.uniform(*rig.fan))
        at += run + made.random.uniform(30.0, 400.0)


def _panel(made: Made, peak: float) -> None:
    """Sun through clouds: edges of 3 to 30 s, levels between 15 and 100 % of the peak, and a slow ripple."""
    random = made.random
    share = 1.0
    i = 0
    while i < made.points:
        hold = round(random.uniform(5.0, 150.0) / GRID)
        target = random.choice((1.0, random.uniform(0.15, 1.0)))
        edge = max(1, round(3.0 * exp(random.uniform(0.0, 2.3)) / GRID))
        ripple, ripple_period = random.uniform(0.0, 0.04), random.uniform(3.0, 20.0) / GRID
        for k in range(min(hold, made.points - i)):
            smooth = 0.5 - 0.5 * cos(pi * min(1.0, k / edge))
            now = share + (target - share) * smooth
            made.amps[i + k] += peak * now * (1 + ripple * cos(2 * pi * (i + k) / ripple_period))
        share += (target - share) * (0.5 - 0.5 * cos(pi * min(1.0, hold / edge)))
        i += hold


def _charger(made: Made, amps: float) -> None:
    """A charger that is plugged in and out in one instant, at any moment, also during an over."""
    random = made.random
    at = random.uniform(0.0, 400.0) if random.random() < 0.7 else 0.0
    while at < made.points * GRID:
        run = random.uniform(60.0, 900.0)
        made.add(at, at + run, amps)
        made.events.append(f"charger {amps:.1f} A from {at:.1f} to {at + run:.1f} s")
        at += run + random.uniform(60.0, 900.0)


def sample_wire(made: Made, rate: float) -> list[tuple[float, float]]:
    """Read the wire at a rate, with jitter, lost samples, noise and a wild sample every half hour or so."""
    random = made.random
    averaging = random.random() < 0.5
    noise = random.uniform(0.005, 0.05)
    period = 1.0 / rate
    samples = []
    at, before = 1.0, 0
    while (i := round(at / GRID)) < made.points:
        amps = sum(made.amps[before + 1 : i + 1]) / (i - before) if averaging and i > before else made.amps[i]
        before = i
        amps += random.gauss(0.0, noise)
        if random.random() < period / 1800.0:
            amps += random.choice((-6.0, 6.0))
        if random.random() > 0.003:
            samples.append((_on_grid(i * GRID), round(amps, 2)))
        at += period * random.uniform(0.95, 1.05)
    return samples


def _within(overs: list[tuple[float, float]], at: float) -> bool:
    i = bisect_right(overs, (at, float("inf"))) - 1
    return i >= 0 and overs[i][0] <= at < overs[i][1]
