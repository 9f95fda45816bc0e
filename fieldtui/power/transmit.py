"""Finding transmissions in the current of the pack.

A transmission is an extra load of several amps with two sharp edges. What makes it hard is everything else on the
same wire: the set's fan and loudspeaker, clouds over the panel, a charger that comes and goes. The rules:

* Below every level that receiving without a charger can explain, an extra load is certain: a charger only adds.
* Above that, a fall may also be charging that stopped. It counts as a transmission only if it is abrupt, flat,
  and does not end at the receive level - or if its size is that of overs already seen.
* An over ends when the current is back where it stood, or at the receive level, for `hang_seconds`; the edge is
  dated back to the moment it happened. Back at neither (the sun changed meanwhile) it must stay for 3 s.
* A gap in the data longer than `gap_seconds` proves nothing. If the level after it is still that of sending and
  the gap is at most `bridge_seconds`, the over goes on; otherwise it ends in the middle of the gap, give or take
  half of it, with the cause "gap". It is never left open in silence.
* "Sending" without end is a load we took for a transmitter: after `longest_seconds` it is closed with the cause
  "too long" and becomes part of the standing level.

What cannot be told: another load of more than an amp or two switched on looks like a transmission; charging that
stops in one step of exactly the size of an over does too.
"""

from __future__ import annotations

from dataclasses import replace
from math import isfinite

from fieldtui.power.edges import Cause, Edge, Sample, bracket
from fieldtui.power.levels import Levels
from fieldtui.power.overs import Over
from fieldtui.power.starts import Found, StartFinder

__all__ = ["Cause", "Edge", "TransmitDetector"]


class TransmitDetector:
    """Feeds on samples of the pack's current and tells the edges of transmissions; deterministic.

    Made for 1 to 10 samples a second. An edge is told once it is confirmed, some samples after it happened.
    `least_step_amps` is the smallest extra load taken for a transmission; `usual_step_amps`, when known from the
    station file, is what the set draws more than in receive. Samples that go back in time, repeat an instant or
    are not numbers are passed over.
    """

    def __init__(
        self,
        *,
        least_step_amps: float = 0.8,
        usual_step_amps: float | None = None,
        hang_seconds: float = 0.9,
        gap_seconds: float = 5.0,
        bridge_seconds: float = 30.0,
        longest_seconds: float = 600.0,
        doubt_seconds: float = 180.0,
    ) -> None:
        self.hang_seconds = hang_seconds
        self.gap_seconds = gap_seconds
        self.bridge_seconds = bridge_seconds
        self.longest_seconds = longest_seconds
        self._levels = Levels()
        self._finder = StartFinder(self._levels, least_step_amps, usual_step_amps)
        self.doubt_seconds = doubt_seconds
        self._limit_seconds = longest_seconds
        self._over: Over | None = None
        self._doubt: Over | None = None
        self._last: Sample | None = None
        self._period = 1.0

    @property
    def sending(self) -> bool:
        """Whether a transmission is under way."""
        return self._over is not None

    @property
    def receive_amps(self) -> float | None:
        """The learned level of receiving without a charger (negative), or None before any was seen."""
        return self._levels.receive

    @property
    def standing_amps(self) -> float | None:
        """The latest level outside transmissions, chargers included, or None before the first sample."""
        return self._levels.standing

    def feed(self, seconds: float, amps: float, volts: float | None = None) -> list[Edge]:
        """Take one sample (monotonic seconds, amps with discharge negative); return the edges it settles."""
        if not (isfinite(seconds) and isfinite(amps)):
            return []
        sample = Sample(seconds, amps, volts if volts is not None and isfinite(volts) else None)
        last = self._last
        if last is None:
            self._last = sample
            return self._look(sample)
        elapsed = seconds - last.seconds
        if elapsed <= 0:
            return []
        self._last = sample
        if elapsed > self.gap_seconds:
            return self._after_gap(last, sample)
        self._period += (elapsed - self._period) * 0.2
        return self._look(sample)

    def _look(self, sample: Sample) -> list[Edge]:
        over = self._over
        if over is None:
            return self._look_for_start(sample)
        shift = over.shift
        end = over.look(sample, self._period)
        if end is not None:
            return [self._close(over, end)]
        if sample.seconds - over.start.seconds > self._limit_seconds:
            return [self._give_up(over, sample)]
        if over.shift is not shift:
            self._levels.restart(over.shift.samples if over.shift else ())
            self._levels.in_doubt = True
            self._finder.resume(sample, "step")
        return self._look_again(over, sample) if shift and shift is over.shift else []

    def _look_again(self, over: Over, sample: Sample) -> list[Edge]:
        """After a change of level within an over: another start tells that the change had been the end."""
        found = self._finder.look(sample, self._period)
        if found is None or over.shift is None:
            return []
        shift, over.shift = over.shift, None
        if found.verdict == "doubtful" or abs(found.edge.amps - shift.level) <= 0.2 * over.step_amps:
            return []  # the charger went again
        return [shift.end, *self._begin(found, sample)]

    def _look_for_start(self, sample: Sample) -> list[Edge]:
        found = self._finder.look(sample, self._period)
        if found is None:
            return self._look_at_doubt(sample)
        if found.verdict == "doubtful":
            self._set_doubt(Over(self._levels, found.edge, sample, self.hang_seconds))
            return []
        return self._begin(found, sample)

    def _begin(self, found: Found, sample: Sample) -> list[Edge]:
        start = self._finder.onset(found)
        if start.cause == "joined":
            start = replace(start, uncertainty_seconds=self.longest_seconds)
        self._set_doubt(None)
        self._over = Over(self._levels, start, sample, self.hang_seconds)
        self._limit_seconds = self.longest_seconds if found.verdict == "certain" else self.doubt_seconds
        return [start]

    def _look_at_doubt(self, sample: Sample) -> list[Edge]:
        """Settle a doubtful fall: back where it came from soon, it was an over; told late, but told."""
        doubt = self._doubt
        if doubt is None:
            return []
        end = doubt.look(sample, self._period)
        if end is not None:
            return [doubt.start, self._close(doubt, end)]
        if sample.seconds - doubt.start.seconds > self.doubt_seconds:
            self._set_doubt(None)
        return []

    def _set_doubt(self, over: Over | None) -> None:
        self._doubt = over
        self._levels.in_doubt = over is not None

    def _close(self, over: Over, end: Edge) -> Edge:
        """End the over and go on from the samples that showed it."""
        if over.has_standing:
            self._finder.learn_step(over.step_amps)
        self._levels.restart(over.back)
        self._finder.resume(over.back[-1], "step")
        self._over = None
        self._set_doubt(None)
        return end

    def _give_up(self, over: Over, sample: Sample) -> Edge:
        self._over = None
        self._levels.restart([sample])
        self._finder.resume(sample, "step")
        self._finder.forget_step(over.step_amps)
        return over.finish(sample.seconds, self.longest_seconds, sample, "too long")

    def _after_gap(self, last: Sample, sample: Sample) -> list[Edge]:
        middle, half = bracket(last.seconds, sample.seconds)
        over = self._over
        self._set_doubt(None)
        if over is None:
            self._levels.restart()
            self._finder.resume(last, "gap")
            return self._look(sample)
        if not over.is_back(sample.amps) and 2 * half <= self.bridge_seconds:
            return self._look(sample)
        self._over = None
        self._levels.restart()
        self._finder.resume(last, "gap")
        return [over.finish(middle, half, sample, "gap"), *self._look(sample)]
