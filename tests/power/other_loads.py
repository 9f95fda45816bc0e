"""Made-up current traces of a station that has more on its wire than a radio: laptops, lamps, fans, keyed carriers.

Shapes apart from those of `transmit_traces`. Deterministic for a seed.
"""

from __future__ import annotations

from random import Random

from tests.power.transmit_traces import GRID, Made, Trace, sample_wire

LOADS = {"laptop": (1.2, 5.0), "lamp": (0.6, 3.0), "fan": (0.3, 1.5), "heater": (10.0, 25.0)}
"""Amps of other loads (common practice, no source)."""
SWITCHED = (
    "once, between overs",
    "once, in an over",
    "for good, early",
    "for good, late",
    "on and off",
    "two of them",
)
STEPS = {"50 W": (7.0, 10.0), "25 W": (4.0, 6.0), "handheld": (1.2, 1.8)}
KEPT_STEPS = {"100 W": (14.0, 18.0), "35 W": (5.5, 8.0), "10 W": (2.2, 3.2)}
KEPT_LOADS = {"pump": (3.0, 7.0), "screen": (0.9, 2.4), "blanket": (3.5, 9.0)}
KEPT_SWITCHED = ("on in an over, off in a later one", "three times", "in two steps")
"""Stations, loads and ways to switch that the detector's figures were not chosen with."""
UNLIKE = 0.25
"""A load whose step is nearer to that of an over than this part of it cannot be told from one, and is not made."""
KEPT = [(step, load, switched) for step in KEPT_STEPS for load in KEPT_LOADS for switched in KEPT_SWITCHED]
SHAPES = [(step, load, switched) for step in STEPS for load in LOADS for switched in SWITCHED]


def shape(seed: int) -> tuple[str, str, str]:
    """Give station, load and way of switching: from 1000 on those that were kept back."""
    return KEPT[seed % len(KEPT)] if seed >= 1000 else SHAPES[seed % len(SHAPES)]


def make_mix(seed: int, seconds: float = 1500.0) -> Trace:
    """Make one trace: some overs first, then a load that comes and goes; the seed picks the shape and all sizes."""
    step, load, switched = shape(seed)
    random = Random(f"mix {seed}")
    points = round(seconds / GRID)
    made = Made(random, points, [-random.uniform(0.1, 0.9)] * points)
    size = random.uniform(*{**STEPS, **KEPT_STEPS}[step])
    overs = _overs(random, seconds)
    for start, end in overs:
        made.add(start, end, -size * random.uniform(0.97, 1.03))
    for start, end in _spans(random, switched, overs, seconds):
        made.add(start, end, -_unlike(random, {**LOADS, **KEPT_LOADS}[load], size))
    rate = random.choice((1.0, 2.0, 5.0, 10.0))
    return Trace(f"{step}, {load} {switched}, {rate:g}/s", rate, sample_wire(made, rate), overs)


def _unlike(random: Random, sizes: tuple[float, float], step: float) -> float:
    while abs((amps := random.uniform(*sizes)) - step) < UNLIKE * step:
        pass
    return amps


def _overs(random: Random, seconds: float) -> list[tuple[float, float]]:
    overs, at = [], random.uniform(15.0, 40.0)
    while (end := at + random.uniform(4.0, 60.0)) < seconds - 40.0:
        overs.append((round(at, 1), round(end, 1)))
        at = end + random.uniform(8.0, 60.0)
    return overs


def _spans(
    random: Random, switched: str, overs: list[tuple[float, float]], seconds: float
) -> list[tuple[float, float]]:
    """Give when a load is on. It comes after the third over, and runs for three minutes at least."""
    third = overs[2][1]
    at = random.uniform(third + 3.0, seconds / 2)
    runs = random.uniform(180.0, 600.0)
    if switched == "for good, early":
        return [(third + random.uniform(3.0, 7.0), seconds)]
    if switched == "for good, late":
        return [(at, seconds)]
    if switched == "once, in an over":
        start, end = random.choice(overs[3:6])
        return [((start + end) / 2, (start + end) / 2 + runs)]
    if switched == "on and off":
        return [(at, at + 180.0), (at + 300.0, at + 300.0 + runs)]
    if switched == "on in an over, off in a later one":
        later = [over for over in overs[4:] if over[0] > overs[3][1] + 170.0]
        return [(sum(overs[3]) / 2, sum(later[0]) / 2)]
    if switched == "three times":
        return [(at + 380.0 * n, at + 380.0 * n + 200.0) for n in range(3)]
    if switched == "in two steps":
        return [(at, at + runs), (at + 1.0, at + runs - 1.0)]
    if switched == "two of them":
        return [(at, at + runs), (at + 70.0, at + 70.0 + runs)]
    return [(at, at + runs)]
