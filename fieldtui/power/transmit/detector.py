"""Finding transmissions in the current of the pack.

A transmission is an extra load of several amps with two sharp edges. What makes it hard is everything else on the
same wire: the set's fan and loudspeaker, clouds over the panel, a charger that comes and goes. A fall of the current
may be an over or a charger unplugged, and which it was may only show later. So the detector keeps a handful of
stories that explain the current so far (`story.py`), lets each go on or take a turn with every sample
(`going_on.py`, `turning.py`), drops the dear ones, and tells an edge once all stories that are still plausible
agree on it. Usually that takes some tenths of a second to a sample or two; in doubt, minutes.

* A gap in the data longer than `gap_seconds` proves nothing. An over that is still there after a gap of at most
  `bridge_seconds` goes on; otherwise it ends, and one found after a gap begins, in the middle of the gap, give or
  take half of it, with the cause "gap". No over is left open in silence.
* Sending without end is a load we took for a transmitter: after `longest_seconds` it is closed with the cause
  "too long", and the level becomes the standing one.

* Another load, a laptop or a lamp, is a step unlike those of overs that goes on for minutes: known once three overs
  were seen, or with `usual_step_amps`. The level of receiving then has it in it.

What cannot be told: before that, another load of more than an amp or so looks like a transmission, until an over comes
on top of it; later, one whose step is within a fifth or so of an over's, or one of unlike size that is on for less
than two minutes or so. So do a charger of the same current, unplugged for a minute, and a panel that a fast cloud
passes before any over was seen. Full break-in telegraphy, seen in instants, gives pieces, or one long over.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator
from math import isfinite, sqrt

from msgspec.structs import replace

from fieldtui.power.median import median
from fieldtui.power.transmit.edges import Cause, Edge, Sample
from fieldtui.power.transmit.going_on import go_on, surprised
from fieldtui.power.transmit.story import BELOW_COST, MOST_RECEIVE_AMPS, START_COST, Story, Turn, share
from fieldtui.power.transmit.turning import turns

__all__ = ["Cause", "Edge", "TransmitDetector"]

_KEPT_STORIES = 8
_DEAREST = 14.0
_LEAD = 4.0
"""Stories this much dearer than the best no longer have a say."""

_SETTLE_SECONDS = 0.3
_HASTE_SECONDS = 8.0
_END_DOUBT_SECONDS, _STARTLED = 20.0, 1.0
_SAME_MOMENT_SECONDS = 1.0


class TransmitDetector:
    """Feeds on samples of the pack's current and tells the edges of transmissions; deterministic.

    Made for 1 to 10 samples a second. `least_step_amps` is the smallest extra load taken for a transmission;
    `usual_step_amps`, when known from the station file, is what the set draws more than in receive. A start that
    stays in doubt is decided after `doubt_seconds`. Samples that go back in time, repeat an instant or are not
    numbers are passed over.
    """

    def __init__(
        self,
        *,
        least_step_amps: float = 0.8,
        usual_step_amps: float | None = None,
        gap_seconds: float = 5.0,
        bridge_seconds: float = 30.0,
        longest_seconds: float = 600.0,
        doubt_seconds: float = 180.0,
    ) -> None:
        self.least_step_amps = least_step_amps
        self.usual_step_amps = usual_step_amps
        self.gap_seconds = gap_seconds
        self.bridge_seconds = bridge_seconds
        self.longest_seconds = longest_seconds
        self.doubt_seconds = doubt_seconds
        self._stories: list[Story] = []
        self._told: Turn | None = None
        self._recent: deque[Sample] = deque(maxlen=300)
        self._noise = 0.1
        self._period = 1.0

    @property
    def sending(self) -> bool:
        """Whether a transmission is under way, as far as it was told."""
        return self._told is not None and self._told.kind == "start"

    @property
    def perhaps_sending(self) -> bool:
        """Whether the current looks like a transmission that was not told yet: it takes a sample or two to be sure."""
        return bool(self._stories) and self._stories[0].sending and not self.sending

    @property
    def receive_amps(self) -> float | None:
        """The learned level of receiving without a charger (negative), or None before any was seen."""
        return self._stories[0].receive if self._stories else None

    @property
    def standing_amps(self) -> float | None:
        """The level there is, or would be, without a transmission; None before the first sample."""
        return self._stories[0].standing if self._stories else None

    def feed(self, seconds: float, amps: float, volts: float | None = None) -> list[Edge]:
        """Take one sample (monotonic seconds, amps with discharge negative); return the edges it settles."""
        if not (isfinite(seconds) and isfinite(amps)):
            return []
        volts = volts if volts is not None and isfinite(volts) else None
        if not self._recent:
            self._recent.append(Sample(seconds, amps, volts))
            self._stories = self._first_stories(seconds, amps)
            return []
        last = self._recent[-1]
        elapsed = seconds - last.seconds
        if elapsed <= 0:
            return []
        if elapsed > self.gap_seconds:
            return self._after_gap(Sample(seconds, amps, volts), last)
        self._period += 0.2 * (elapsed - self._period)
        sample = Sample(
            seconds, amps, volts, min(elapsed, 2.0), self._period, self._noise, (amps - last.amps) / elapsed
        )
        self._recent.append(sample)
        self._grow(sample)
        edges = self._agreed(seconds)
        return edges or self._given_up(sample)

    def _first_stories(self, seconds: float, amps: float) -> list[Story]:
        """Begin: receiving, or - with a load that no receiver has - already sending."""
        overs = 3 if self.usual_step_amps else 0
        too_low = 2 * max(0.0, -MOST_RECEIVE_AMPS - amps)
        quiet = Story(
            sending=False, floor=amps, since=seconds, clean=seconds, cost=too_low,
            usual_load=self.usual_step_amps or 0.0, overs=overs,
        )  # fmt: skip
        if amps > -2.0:
            return [quiet]
        receive = -0.6  # a usual set; the load is marked as not known
        turn = Turn("start", seconds, seconds, receive, amps, None, "joined")
        sending = replace(quiet, sending=True, cost=3.0, load=receive - amps, load_known=False, turn=turn)
        return sorted((quiet, sending), key=_cost)

    def _grow(self, sample: Sample) -> None:
        """Let every story go on, and turn where the sample surprises it; keep the cheapest."""
        grown: list[Story] = []
        for story in self._stories:
            grown.append(go_on(story, sample))
            if surprised(story, sample):
                grown += turns(story, sample, self.least_step_amps)
        self._stories = _cheapest(grown)
        off = sample.amps - self._stories[0].floor
        if abs(off) < 3 * self._noise + 0.1:
            gain = share(sample.elapsed, 8.0)
            self._noise = min(
                max(sqrt(self._noise**2 + gain * (1.5 * off * off - self._noise**2)), 0.06), 0.4
            )

    def _agreed(self, now: float) -> list[Edge]:
        """Tell the turns on which all plausible stories agree, or that have been in doubt for long enough."""
        edges = []
        while (turn := _first_untold(self._stories[0], self._told)) is not None:
            age = now - turn.right
            patience = self.doubt_seconds if turn.kind == "start" else _END_DOUBT_SECONDS
            if age < _SETTLE_SECONDS or (age < patience and self._disputed(turn, age)):
                break
            edges.append(self._tell(turn))
        return edges

    def _disputed(self, turn: Turn, age: float) -> bool:
        """Tell whether a plausible story knows nothing of this turn.

        Once overs were seen, a doubt about one more is settled sooner.
        """
        best = self._stories[0]
        patient = age < _HASTE_SECONDS or best.overs < 2
        if not patient and not best.voiced and age >= _HASTE_SECONDS and best.paid > _STARTLED:
            return True  # something happens right now: what it means for the doubt shows with the next sample
        lead = _LEAD if patient else _LEAD / 2
        # Neighbouring samples are the same moment, and a second of a real feed is now longer, now shorter than one.
        same = max(_SAME_MOMENT_SECONDS, 1.5 * self._period)
        return any(
            story.cost < lead and not _agrees(story, turn, self._told, same) for story in self._stories
        )

    def _tell(self, turn: Turn) -> Edge:
        """Make an edge of a turn; stories that know nothing of it are dropped."""
        self._stories = [story for story in self._stories if _tells(story, turn, self._told)]
        self._told = turn
        turn.earlier = None  # nobody looks further back: a day of overs must not pile up in memory
        middle, half = (turn.left + turn.right) / 2, (turn.right - turn.left) / 2
        if turn.cause == "joined":
            half = self.longest_seconds
        after = [
            each for each in self._recent if turn.right <= each.seconds <= turn.right + 2 * self._period + 0.5
        ]
        volts_before = next((each.volts for each in self._recent if each.seconds == turn.left), None)
        volts_after = [each.volts for each in after if each.volts is not None]
        return Edge(
            turn.kind,
            middle,
            half,
            amps=median(each.amps for each in after) if after else turn.after,
            amps_before=None if turn.cause == "joined" else turn.before,
            volts_before=volts_before,
            volts_after=median(volts_after) if volts_after else None,
            cause=turn.cause,
        )

    def _given_up(self, sample: Sample) -> list[Edge]:
        """Close an over that has lasted too long to be one."""
        told = self._told
        if told is None or told.kind != "start" or sample.seconds - told.right <= self.longest_seconds:
            return []
        best = self._stories[0]
        turn = Turn("end", told.right, sample.seconds, sample.amps, sample.amps, told, "too long")
        self._stories = [
            replace(
                best, sending=False, floor=sample.amps, load=0.0, since=sample.seconds, cost=0.0, turn=turn
            )
        ]
        edge = self._tell(turn)
        return [replace(edge, seconds=sample.seconds, uncertainty_seconds=sample.seconds - told.right)]

    def _after_gap(self, sample: Sample, last: Sample) -> list[Edge]:
        """Tell what was not yet told, then begin again from the best story, with all that may be true after a gap."""
        edges = []
        while (turn := _first_untold(self._stories[0], self._told)) is not None:
            edges.append(self._tell(turn))
        best = replace(
            self._stories[0], floor=sample.amps, slope=0.0, cost=0.0, paid=0.0, clean=sample.seconds
        )
        self._recent.append(sample)
        elapsed = sample.seconds - last.seconds
        told = self._stories[0]
        self._stories = sorted(self._gap_stories(best, told, last, elapsed), key=_cost)
        return edges

    def _gap_stories(self, best: Story, before: Story, last: Sample, elapsed: float) -> list[Story]:
        now, amps = best.clean, best.floor
        quiet = replace(best, sending=False, load=0.0, since=now)
        too_low = BELOW_COST if amps < quiet.lowest_standing else 0.0
        if not before.sending:
            quiet = replace(quiet, cost=too_low)
            turn = Turn("start", last.seconds, now, before.floor, amps, best.turn, "gap")
            load = max(before.floor - amps, self.least_step_amps)
            began = replace(
                best, sending=True, load=load, load_known=False, since=now, cost=START_COST, turn=turn
            )
            return [quiet, began] if before.floor - amps >= self.least_step_amps else [quiet]
        end = Turn("end", last.seconds, now, before.floor, amps, best.turn, "gap")
        ended = replace(quiet, cost=1.5 + too_low, turn=end)
        if abs(amps - before.floor) > 0.4 * before.load and amps > before.floor:
            return [ended, replace(best, cost=BELOW_COST)]
        if elapsed <= self.bridge_seconds:
            return [best, replace(ended, cost=ended.cost + BELOW_COST)]
        again = Turn("start", last.seconds, now, before.floor, amps, end, "gap")
        return [replace(best, since=now, turn=again), replace(ended, cost=ended.cost + BELOW_COST)]


def _cost(story: Story) -> float:
    return story.cost


def _cheapest(stories: list[Story]) -> list[Story]:
    """Keep the cheapest few, of stories that say nearly the same only the cheapest; the best then costs nothing."""
    stories.sort(key=_cost)
    best = stories[0].cost
    kept: dict[tuple[bool, int, int, bool, int, int], Story] = {}
    for story in stories:
        if story.cost > best + _DEAREST or len(kept) == _KEPT_STORIES:
            break
        alike = (
            story.sending,
            round(3 * story.floor),
            round(2 * story.load),
            story.receive is None,
            round(story.slope),
            len(story.loads),
        )
        kept.setdefault(alike, story)
    return [replace(story, cost=story.cost - best) for story in kept.values()]


def _chain(turn: Turn | None, told: Turn | None) -> Iterator[Turn]:
    """Give the turns of a story that are not told yet, the latest first."""
    while turn is not None and turn is not told:
        yield turn
        turn = turn.earlier


def _first_untold(story: Story, told: Turn | None) -> Turn | None:
    """Give the earliest turn of a story that is not told yet."""
    return next(iter(reversed([*_chain(story.turn, told)])), None)


def _tells(story: Story, turn: Turn, told: Turn | None) -> bool:
    """Tell whether this very turn is part of a story."""
    return any(each is turn for each in _chain(story.turn, told))


def _agrees(story: Story, turn: Turn, told: Turn | None, same_seconds: float) -> bool:
    """Tell whether a story has the like of a turn at the same moment, whatever it says about earlier ones."""
    return any(
        each.kind == turn.kind and abs(each.right - turn.right) <= same_seconds
        for each in _chain(story.turn, told)
    )
