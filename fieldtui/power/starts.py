"""Where a transmission begins: a sharp fall of the current that nothing else on the wire explains."""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass, replace
from statistics import median
from typing import Literal

from fieldtui.power.edges import Cause, Edge, Sample, bracket, settled_from, sharp_limit
from fieldtui.power.levels import MOST_RECEIVE_AMPS, Levels

_JOINED_AMPS = 5.0
"""The first sample of all is sending only beyond this: no receiver draws it (common practice, no source)."""

_CONFIRM_SECONDS = 0.35
_HELD_SECONDS = 0.7
_DROPOUT_SECONDS = 0.8
_PEAKS_SECONDS = 3.2
_ONSET_SECONDS = 8.0


Verdict = Literal["certain", "likely", "doubtful"]


@dataclass(frozen=True, slots=True)
class Found:
    """A fall of the current. "doubtful": charging may have stopped; what follows will tell."""

    edge: Edge
    verdict: Verdict


class StartFinder:
    """Watches quiet samples; `look` tells a fall once it has been judged."""

    def __init__(self, levels: Levels, least_step_amps: float, usual_step_amps: float | None) -> None:
        self._levels = levels
        self._least = least_step_amps
        self._steps: deque[float] = deque([usual_step_amps] if usual_step_amps else [], maxlen=15)
        self._falls: list[Sample] = []
        self._misses = 0
        self._foot: Sample | None = None
        self._clean: Sample | None = None
        self._previous: Sample | None = None
        self._cause: Cause = "joined"
        self._drop: Edge | None = None

    def resume(self, before: Sample | None, cause: Cause) -> None:
        """Begin looking anew after `before` (None: no sample yet); a start found at once gets this cause."""
        self._falls.clear()
        self._clean = self._previous = before
        self._drop = None
        self._cause = cause

    def learn_step(self, amps: float) -> None:
        """Remember the extra load of an over that is finished."""
        if amps > 0:
            self._steps.append(amps)

    def forget_step(self, amps: float) -> None:
        """Take back a step that turned out to be something else."""
        kept = [step for step in self._steps if not _like(step, amps)]
        self._steps.clear()
        self._steps.extend(kept)

    def look(self, sample: Sample, period: float) -> Found | None:
        """Take one sample; `period` is the usual time between samples in seconds."""
        if self._fallen(sample.amps):
            if not self._falls:
                self._foot, self._misses = self._edge_foot(sample, period), 0
            self._falls.append(sample)
            return self._judge(period)
        if self._falls:
            self._misses += 1
            if sample.seconds - self._falls[-1].seconds <= self._patience():
                return None
            self._falls.clear()
        self._learn_quiet(sample)
        return None

    def _learn_quiet(self, sample: Sample) -> None:
        standing = self._levels.standing
        if standing is None or standing - sample.amps < 0.35 * self._threshold():
            self._clean = sample
        self._previous = sample
        self._cause = "step"
        self._levels.learn(sample)

    def onset(self, found: Found) -> Edge:
        """Give the start, dated back to a clean fall just before: the set keyed, the voice came after."""
        drop, start = self._drop, found.edge
        self._drop = None
        if drop is None or start.seconds - drop.seconds > _ONSET_SECONDS:
            return start
        return replace(drop, amps=start.amps, volts_after=start.volts_after)

    def _threshold(self) -> float:
        usual = 0.2 * median(self._steps) if self._steps else 0.0
        return max(self._least, 3.5 * self._levels.spread, usual)

    def _floor(self) -> float:
        """Give the level below which receiving without a charger cannot explain the current."""
        if self._previous is None:
            return -_JOINED_AMPS
        receive = self._levels.receive
        return (-MOST_RECEIVE_AMPS if receive is None else receive) - self._threshold()

    def _fallen(self, amps: float) -> bool:
        standing = self._levels.standing
        return amps <= self._floor() if standing is None else standing - amps >= self._threshold()

    def _edge_foot(self, first: Sample, period: float) -> Sample:
        """Give the last sample surely before the edge: one part-way sample may lie between, no more."""
        previous, clean = self._previous, self._clean
        if previous is None:
            return first
        if clean is None or self._cause == "gap" or previous.seconds - clean.seconds > 1.5 * period:
            return previous
        return clean

    def _judge(self, period: float) -> Found | None:
        falls = self._falls
        elapsed = falls[-1].seconds - falls[0].seconds
        if len(falls) < 2 or elapsed < _CONFIRM_SECONDS:
            return None
        floor = self._floor()
        below = sum(each.amps <= floor for each in falls)
        dense = len(falls) >= 0.4 * (len(falls) + self._misses)
        if below >= 2 or (below and dense):
            return self._found("certain")
        sharp = self._sharp(period)
        verdict = self._verdict() if sharp else None
        if verdict is not None:
            return self._found(verdict)
        if sharp is not None or elapsed > max(2.0, 3.2 * period):
            self._drop = self._edge() if sharp else None
            self._take_for_standing()
        return None

    def _patience(self) -> float:
        """Give how long a fall may be away: speech seen once a second shows a peak now and then."""
        peak = min(each.amps for each in self._falls)
        return _PEAKS_SECONDS if peak <= self._floor() else _DROPOUT_SECONDS

    def _sharp(self, period: float) -> bool | None:
        """Tell whether the fall is a clean step that has held; None while it is too early to say."""
        falls, foot = self._falls, self._foot
        standing = self._levels.standing
        if foot is None or standing is None:
            return False
        level = median(each.amps for each in falls[-3:])
        tolerance = max(0.15, 0.1 * (standing - level), 4 * self._levels.noise)
        settled = settled_from(falls, tolerance)
        if settled == len(falls):
            return None
        if falls[settled].seconds - foot.seconds > sharp_limit(period):
            return False
        return True if falls[-1].seconds - falls[settled].seconds >= _HELD_SECONDS else None

    def _verdict(self) -> Verdict | None:
        """Judge a clean step above the floor: an over, or charging that stopped (None)."""
        standing, receive = self._levels.standing, self._levels.receive
        if standing is None:
            return None
        level = self._falls[-1].amps
        step = standing - level
        if self._steps and _like(step, median(self._steps)):
            return "likely"
        if receive is None:
            return "doubtful"
        near = max(0.4, 2 * self._levels.spread)
        if abs(level - receive) <= near:
            return None
        beyond = abs(level - receive) > 2 * near and self._levels.steady(0.2 * step)
        return "likely" if beyond and not self._steps else "doubtful"

    def _found(self, verdict: Verdict) -> Found:
        found = Found(self._edge(), verdict)
        if verdict == "doubtful":
            self._drop = found.edge
            self._take_for_standing()
        else:
            self._falls.clear()
        return found

    def _take_for_standing(self) -> None:
        """Go on from the lower level: it was a cloud, a charger that stopped, or is in doubt."""
        self._levels.restart(self._falls[-3:])
        self._clean = self._previous = self._falls[-1]
        self._cause = "step"
        self._falls.clear()

    def _edge(self) -> Edge:
        falls, foot = self._falls, self._foot
        if foot is None or foot is falls[0]:
            seconds, uncertainty, volts = falls[0].seconds, 0.0, None
        else:
            (seconds, uncertainty), volts = bracket(foot.seconds, falls[0].seconds), foot.volts
        return Edge(
            "start",
            seconds,
            uncertainty,
            median(each.amps for each in falls[-3:]),
            amps_before=self._levels.standing,
            volts_before=volts,
            volts_after=falls[-1].volts,
            cause=self._cause,
        )


def _like(step: float, usual: float) -> bool:
    """Tell whether a step has the size of the usual one."""
    return abs(step - usual) <= max(0.12 * usual, 0.3)
