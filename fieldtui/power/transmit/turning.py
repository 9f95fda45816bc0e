"""What may have happened at a sample that a story did not expect: every turn it can take, with its cost."""

from __future__ import annotations

from collections.abc import Iterator
from math import log

from msgspec.structs import replace

from fieldtui.power.transmit.edges import Sample
from fieldtui.power.transmit.going_on import expected
from fieldtui.power.transmit.story import (
    BELOW_COST,
    CHARGER_COST,
    CLOUD_COST,
    CLOUD_PAST_COST,
    DEEPER_COST,
    END_COST,
    IN_SPEECH_COST,
    LOAD_COST,
    LOAD_OFF_COST,
    LOAD_SHORT_COST,
    LOAD_SHORT_SECONDS,
    LOADS_AFTER_OVERS,
    MOST_LOADS,
    PART_WAY_AMPS,
    PART_WAY_COST,
    REST_COST,
    SHORT_COST,
    SHORT_SECONDS,
    START_COST,
    VOICE_SWINGS,
    Story,
    Turn,
    bell,
)

_YOUNG_SECONDS = 6.0
_FASTEST_CLOUD = 3.0
_LEAST_OTHER = 0.5
_STEADY_SECONDS = 20.0
_CHARGED_COST = 3.0
"""A fall that ends above what receiving draws is rather the sun or a charger."""
_WAS_OTHER_COST = 4.0


def turns(story: Story, sample: Sample, least_load: float) -> Iterator[Story]:
    """Give the stories in which something happened at this sample."""
    before = _before_the_edge(story, sample)
    for told in _all_turns(before, sample, least_load):
        if told.standing < told.lowest_standing:
            yield replace(told, cost=told.cost + BELOW_COST)
        else:
            yield told


def _before_the_edge(story: Story, sample: Sample) -> Story:
    """Take back what the last sample did to the story, if it was already part of the edge."""
    cost = story.cost - max(0.0, story.paid - PART_WAY_COST)
    floor, clean = story.floor, story.clean
    if story.earlier_floor is not None:
        moved = story.floor - story.earlier_floor
        if abs(moved) > PART_WAY_AMPS and moved * (sample.amps - story.floor) > 0 and not story.moving:
            floor, clean = story.earlier_floor, story.earlier_clean
    return replace(story, floor=floor, clean=clean, cost=cost, paid=0.0, earlier_floor=None)


def _all_turns(story: Story, sample: Sample, least_load: float) -> Iterator[Story]:
    off = sample.amps - expected(story, sample)
    if not story.sending:
        if -off >= 0.9 * least_load:
            yield _start(story, sample, -off)
    elif off < 0:
        if sample.seconds - story.since <= 2.3 * sample.period:
            yield _deeper(story, sample, story.load - off)
    else:
        if off > 0.3 * min(story.load, 3.0):
            yield (ended := _end(story, sample, off))
            yield from _end_beside(ended)
        if off > 0.3 and story.load - off >= least_load:
            yield _rest(story, sample, story.load - off)
    if _cloud(story, sample, off):
        yield _at(story, sample, story.cost + CLOUD_COST + _in_speech(story), slope=sample.slope)
    if story.moving:
        yield _at(story, sample, story.cost + CLOUD_PAST_COST, slope=0.0)
    yield _charger(story, sample, off)
    if story.receive is not None and abs(off) >= _LEAST_OTHER:
        yield from _other_load(story, sample, off)


def _other_load(story: Story, sample: Sample, off: float) -> Iterator[Story]:
    """Another load of this station was switched on or off: the level of receiving moves with it."""
    assert story.receive is not None
    if off > 0:
        found = min(story.loads, key=lambda load: abs(load[0] - off), default=None)
        if found is not None and abs(found[0] - off) < 0.3 + 0.15 * found[0]:
            yield _switched_off(story, sample, off, found)
    elif story.overs >= LOADS_AFTER_OVERS and not _may_be_speech(story):
        yield from _switched_on(story, sample, off)
    if story.sending and off < 0 and _is_other(story, sample, -off):
        yield _was_other(story, sample, -off)


def _switched_on(story: Story, sample: Sample, off: float) -> Iterator[Story]:
    assert story.receive is not None
    if story.loads and sample.seconds - story.loads[-1][1] <= 2.3 * sample.period:
        *others, (amps, since) = story.loads
        cost = story.cost + DEEPER_COST + story.cost_of_other(amps - off) - story.cost_of_other(amps)
        loads = (*others, (amps - off, since))
        yield _at(story, sample, cost, receive=story.receive + off, loads=loads)
    if len(story.loads) < MOST_LOADS:
        charged = _CHARGED_COST if sample.amps > story.receive - _LEAST_OTHER else 0.0
        cost = story.cost + LOAD_COST + charged + _in_speech(story) + story.cost_of_other(-off)
        loads = (*story.loads, (-off, sample.seconds))
        yield _at(story, sample, cost, receive=story.receive + off, loads=loads)


def _switched_off(story: Story, sample: Sample, off: float, found: tuple[float, float]) -> Story:
    assert story.receive is not None
    amps, since = found
    loads = tuple(load for load in story.loads if load is not found)
    short = LOAD_SHORT_COST if sample.seconds - since < LOAD_SHORT_SECONDS else 0.0
    cost = story.cost + LOAD_OFF_COST + short + _in_speech(story) - log(bell(off - amps, 0.07 * amps + 0.25))
    return _at(story, sample, cost, receive=story.receive + amps, loads=loads)


def _may_be_speech(story: Story) -> bool:
    """Tell whether more current is rather the voice: this over is not steady at what overs have taken so far."""
    if not story.sending:
        return False
    return story.swings >= VOICE_SWINGS or not (story.knows_step and story.like_those_before)


def _is_other(story: Story, sample: Sample, more: float) -> bool:
    """Tell whether `more` current on top shows that what is taken for an over was another load, of unlike size."""
    lasted = sample.seconds - story.since
    if story.knows_step:
        like = abs(more - story.usual_load) < 0.2 * story.usual_load + 0.2
        return like and not story.like_those_before and lasted > _YOUNG_SECONDS
    steady = not (story.swings or story.at_peak) and lasted > _STEADY_SECONDS
    return steady and more > 1.2 * story.load


def _was_other(story: Story, sample: Sample, load: float) -> Story:
    """What was taken for an over was another load: it has just been seen that an over takes far more."""
    assert story.receive is not None
    before = expected(story, sample)
    end = Turn("end", story.clean, sample.seconds, before, before, story.turn)
    other = replace(
        story, sending=False, load=0.0, receive=story.receive - story.load, turn=end,
        loads=(*story.loads, (story.load, story.since))[-MOST_LOADS:], cost=story.cost + _WAS_OTHER_COST,
    )  # fmt: skip
    return _start(other, sample, load)


def _cloud(story: Story, sample: Sample, off: float) -> bool:
    """Tell whether the sun may have changed: it must be there, and it takes its time."""
    if story.receive is not None and max(story.standing, sample.amps) <= story.receive + 0.3:
        return False
    slow = max(abs(sample.slope), 0.5 * abs(off) / sample.elapsed) <= _FASTEST_CLOUD
    return slow and sample.slope * off > 0


def _at(story: Story, sample: Sample, cost: float, **changes: object) -> Story:
    """Give the story at the level of the sample."""
    return replace(story, floor=sample.amps, clean=sample.seconds, cost=cost, **changes)


def _start(story: Story, sample: Sample, load: float) -> Story:
    """Sending began."""
    load_cost = story.cost_of_load(load)
    turn = Turn("start", story.clean, sample.seconds, expected(story, sample), sample.amps, story.turn)
    return _at(
        story, sample, story.cost + START_COST + load_cost,
        sending=True, load=load, load_known=True, load_cost=load_cost,
        since=sample.seconds, swings=0, at_peak=False, turn=turn,
    )  # fmt: skip


def _deeper(story: Story, sample: Sample, load: float) -> Story:
    """The sample before was part-way: the load is larger."""
    load_cost = story.cost_of_load(load)
    cost = story.cost + DEEPER_COST + load_cost - story.load_cost
    return _at(story, sample, cost, load=load, load_cost=load_cost, swings=0)


def _rest(story: Story, sample: Sample, load: float) -> Story:
    """The level so far was a peak of speech: at rest the load is smaller."""
    load_cost = story.cost_of_load(load)
    late = 0.0 if sample.seconds - story.since < _YOUNG_SECONDS else 3.0
    cost = story.cost + REST_COST + late + load_cost - story.load_cost
    swings = story.swings + story.at_peak
    return _at(story, sample, cost, load=load, load_cost=load_cost, swings=swings, at_peak=False)


def _end(story: Story, sample: Sample, rise: float) -> Story:
    """Sending ended: the current came up by its load; by something else only if the sun moved as well."""
    sigma = 0.07 * story.load + 0.12 + sample.noise if story.load_known else 2.0
    cost = story.cost + END_COST - log(0.9 * bell(rise - story.load, sigma) + 0.01)
    if sample.seconds - story.since < max(SHORT_SECONDS, 2.5 * sample.period):
        cost += SHORT_COST
    overs = story.overs + story.load_known
    usual = (
        story.usual_load + (story.load - story.usual_load) / min(overs, 6)
        if story.load_known
        else story.usual_load
    )
    turn = Turn("end", story.clean, sample.seconds, expected(story, sample), sample.amps, story.turn)
    return _at(
        story, sample, cost,
        sending=False, load=0.0, usual_load=usual, overs=overs,
        uneven=story.uneven + (story.load_known and story.overs > 0 and not story.like_those_before),
        voiced=story.voiced + (story.load_known and story.swings >= VOICE_SWINGS),
        since=sample.seconds, swings=0, at_peak=False, turn=turn,
    )  # fmt: skip


def _end_beside(ended: Story) -> Iterator[Story]:
    """Sending ended, and below the level of receiving: another load was switched on meanwhile."""
    if ended.receive is None or not ended.knows_step or len(ended.loads) == MOST_LOADS:
        return
    other = ended.receive - ended.floor
    if other >= _LEAST_OTHER:
        loads = (*ended.loads, (other, ended.since))
        cost = ended.cost + LOAD_COST + ended.cost_of_other(other)
        yield replace(ended, receive=ended.floor, loads=loads, cost=cost)


def _in_speech(story: Story) -> float:
    """Give the extra cost of a change of the sun while the current swings with speech, which explains more."""
    return IN_SPEECH_COST if story.sending and (story.swings or story.at_peak) else 0.0


def _charger(story: Story, sample: Sample, off: float) -> Story:
    """A charger came or went: by anything, by what it gave before, or down to the level of receiving."""
    size = abs(off)
    standing = sample.amps + (story.load if story.sending else 0.0)
    density = 0.6 / (3.4 * max(size, 0.5))
    if story.receive is not None:
        density += 0.4 * bell(standing - story.receive, 0.25 + sample.noise)
    elif off < 0 and -1.6 <= standing <= -0.05:
        density += 0.27
    if story.charger:
        density += 0.4 * bell(size - story.charger, 0.3)
    return _at(story, sample, story.cost + CHARGER_COST + _in_speech(story) - log(density), charger=size)
