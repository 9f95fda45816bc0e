"""How a story goes on when nothing happens: what a sample costs it, and what it learns."""

from __future__ import annotations

from math import log, sqrt

from msgspec.structs import replace

from fieldtui.power.transmit.edges import Sample
from fieldtui.power.transmit.story import VOICE_SWINGS, Story, share

_DRIFT = 0.2
"""Amps per second by which the level may drift without surprise."""

_MOST_COST = 6.0
_YIELDING = 10.0
_MOST_SLOPE = 2.5
_FIRST_PEAKS, _LATER_PEAKS = 0.7, 0.5
"""Share of the greatest cost that a peak of speech has, before and after the current was seen to swing."""


def expected(story: Story, sample: Sample) -> float:
    """Give the level that the story expects for a sample."""
    return story.floor + story.slope * sample.elapsed


def tolerance(sample: Sample) -> float:
    """Give how far off a sample may be, in amps: the usual noise and a little drift."""
    return sqrt(sample.noise**2 + (_DRIFT * min(sample.elapsed, 1.0)) ** 2)


def surprised(story: Story, sample: Sample) -> bool:
    """Tell whether a sample asks for another explanation than that nothing happened."""
    allowed = max(2 * tolerance(sample), 0.2) if story.moving else max(3 * tolerance(sample), 0.5)
    return abs(sample.amps - expected(story, sample)) > allowed


def go_on(story: Story, sample: Sample) -> Story:
    """Take it that nothing happened, at the price of how badly the sample fits."""
    off = sample.amps - expected(story, sample)
    cost = story.cost + story.long_cost(sample.seconds, sample.elapsed)
    if story.sending and off < -max(0.6, 0.15 * story.load):
        part = _LATER_PEAKS if story.swings >= VOICE_SWINGS else _FIRST_PEAKS
        paid = part * _MOST_COST * weight(sample)
        return replace(
            story, cost=cost + paid, paid=paid, at_peak=True,
            earlier_floor=story.floor, earlier_clean=story.clean,
        )  # fmt: skip
    paid = weight(sample) * _misfit(story, sample, off)
    odd = surprised(story, sample)
    return _learn(replace(story, cost=cost + paid, paid=paid), sample, off, odd=odd)


def weight(sample: Sample) -> float:
    """Give the weight of one sample: ten a second each say less than one a second."""
    return float(min(1.0, max(0.1, sample.elapsed)) ** 0.6)


def _misfit(story: Story, sample: Sample, off: float) -> float:
    """Give the cost of being off: heavy tails, because loudspeakers and fans are not normally distributed."""
    misfit = min(log(1 + 0.5 * (off / tolerance(sample)) ** 2), _MOST_COST)
    too_low = not story.sending and story.receive is not None and sample.amps < story.receive - 1.0
    return misfit + _MOST_COST if too_low else misfit


def _learn(story: Story, sample: Sample, off: float, *, odd: bool) -> Story:
    """Follow the level: closely what fits, hardly what does not, and in speech only what fits."""
    allowed = tolerance(sample)
    pull = off / (1 + (off / allowed) ** 2 / _YIELDING)
    if story.sending and story.swings and abs(off) > 2.5 * allowed:
        pull = 0.0
    gain = share(sample.elapsed, 0.4)
    slope = (story.slope + 0.3 * gain * pull / max(sample.elapsed, 0.1)) * (1 - share(sample.elapsed, 3.0))
    floor = expected(story, sample) + gain * pull
    followed = replace(
        story,
        floor=floor,
        slope=min(max(slope, -_MOST_SLOPE), _MOST_SLOPE),
        swings=story.swings + story.at_peak,
        at_peak=False,
        clean=story.clean if odd else sample.seconds,
        earlier_floor=story.floor,
        earlier_clean=story.clean,
    )
    return followed if story.sending or floor >= 0 else _learn_receive(followed, sample.elapsed)


def _learn_receive(story: Story, elapsed: float) -> Story:
    """Learn the level without a charger, fast at first; downwards faster, because chargers only add."""
    seconds = story.receive_seconds + elapsed
    if story.receive is None:
        return replace(story, receive=story.floor, receive_seconds=seconds)
    slow = 20.0 if story.floor < story.receive else 300.0
    gain = share(elapsed, min(slow, max(seconds, 2.0)))
    return replace(
        story, receive=story.receive + gain * (story.floor - story.receive), receive_seconds=seconds
    )
