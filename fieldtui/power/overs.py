"""Where a transmission ends: the current is back, and stays."""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass
from statistics import median
from typing import Literal

from fieldtui.power.edges import Cause, Edge, Sample, bracket, sharp_limit
from fieldtui.power.levels import Levels

_UNSURE_SECONDS = 2.0
"""How long a level must last that may be the end, but may also be a charger that came in."""

_SILENCE_SECONDS = 4.0
_SILENCE_SAMPLES = 6
"""Speech that rests this long at one level is over, whatever the level."""

_CARRIER_SECONDS = 0.8
_STEP_SECONDS = 1.5
_VOICE_SWINGS = 3

Place = Literal["sending", "home", "unsure"]


@dataclass(frozen=True, slots=True)
class Shift:
    """A change of level within an over that may have been its end: that edge, the level before, the samples."""

    end: Edge
    level: float
    samples: list[Sample]


class Over:
    """One transmission under way; `look` returns its end once it is certain enough.

    A steady carrier (FM) is judged by the size of the step: up by what the start went down is the end, up by
    something else is a charger that came in. Speech (SSB) and keying wander too much for that: they are over
    when the current is where it stood before, or rests.
    """

    def __init__(self, levels: Levels, start: Edge, last: Sample, hang_seconds: float) -> None:
        self.start = start
        self.back: list[Sample] = []
        self.shift: Shift | None = None
        self._standing = start.amps_before
        self._receive = levels.receive
        self._hang_seconds = hang_seconds
        self._recent: deque[Sample] = deque([last], maxlen=100)
        self._home = 0
        self._swings = 0
        self._low = False
        self._carrier = False
        self._rest: Sample = last
        before = self._standing if self._standing is not None else self._receive or 0.0
        self.step_amps = max(before - start.amps, 0.3)
        self._near = max(0.5, min(0.15 * self.step_amps, 1.0), 2 * levels.spread)

    @property
    def has_standing(self) -> bool:
        """Whether the level before the over is known, so that `step_amps` is measured and not supposed."""
        return self.start.amps_before is not None

    @property
    def voice(self) -> bool:
        """Whether the current swings as with speech or keying."""
        return self._swings >= _VOICE_SWINGS

    @property
    def level(self) -> float:
        """The current of the last moment while sending, in amps (discharge negative)."""
        return median(each.amps for each in self._latest())

    def is_back(self, amps: float) -> bool:
        """Tell whether this level is no longer that of sending."""
        return self._place(amps) != "sending"

    def look(self, sample: Sample, period: float) -> Edge | None:
        """Take one sample; `period` is the usual time between samples in seconds."""
        place = self._place(sample.amps)
        self._watch_swings(sample)
        if place == "sending":
            self._keep_sending(sample)
            return self._silence(sample, period)
        self.back.append(sample)
        if place == "unsure":
            self._home = len(self.back)
        if self._lasting(self._home) >= self._hang_seconds:
            if self._sharp(self._home, period):
                return self._end(self._home, period)
            self._keep_sending()
        elif not self._carrier:
            return self._end(0, period) if self._lasting(0) >= _SILENCE_SECONDS else None
        elif self._lasting(0) >= _UNSURE_SECONDS:
            if self._near_receive(sample.amps) and self._sharp(0, period):
                return self._end(0, period)
            self._shift(period)
        return None

    def finish(self, seconds: float, uncertainty: float, after: Sample, cause: Cause) -> Edge:
        """Give the edge that closes this over at a known place."""
        volts = self._recent[-1].volts
        return Edge("end", seconds, uncertainty, after.amps, self.level, volts, after.volts, cause)

    def _place(self, amps: float) -> Place:
        rise = amps - self.level
        if rise < 0.6 * min(self.step_amps, 1.5):
            return "sending"
        standing = self._standing
        if standing is not None and -self._near <= amps - standing <= self._near + 0.5:
            return "home"
        if self.voice:
            return self._place_over_voice(amps)
        if rise < 0.6 * self.step_amps:
            return "sending"
        alike = abs(rise - self.step_amps) <= 0.2 * self.step_amps + 0.35
        return "home" if alike and self._steady() else "unsure"

    def _place_over_voice(self, amps: float) -> Place:
        standing, recent = self._standing, self._recent
        if standing is None:
            return "sending"
        if amps > standing:
            return "unsure"
        if len(recent) < 10 or recent[-1].seconds - recent[0].seconds < 5.0:
            return "sending"
        resting = sorted(each.amps for each in recent)[9 * len(recent) // 10]
        return "home" if standing - amps < 0.45 * (standing - resting) else "sending"

    def _near_receive(self, amps: float) -> bool:
        return self._receive is not None and abs(amps - self._receive) <= self._near

    def _latest(self) -> list[Sample]:
        """Give the sending samples of the last moment, three at least."""
        recent = list(self._recent)
        first = len(recent) - 1
        while first > 0 and (
            recent[-1].seconds - recent[first - 1].seconds <= _CARRIER_SECONDS or len(recent) - first < 3
        ):
            first -= 1
        return recent[first:]

    def _steady(self) -> bool:
        """Tell whether the current of sending is flat, that is a carrier and neither speech nor keying."""
        latest = self._latest()
        level = median(each.amps for each in latest)
        tolerance = max(0.3, 0.15 * self.step_amps)
        flat = sum(abs(each.amps - level) <= tolerance for each in latest)
        return len(latest) >= 3 and flat >= 0.8 * len(latest)

    def _watch_swings(self, sample: Sample) -> None:
        """Count how often the current comes up again from a peak, and since when it rests."""
        fall = self._rest.amps - sample.amps
        if abs(fall) > 0.3:
            self._rest = sample
        if self._low and fall < -1.0:
            self._swings += 1
            self._low = False
        elif fall > 1.0:
            self._low = True

    def _silence(self, sample: Sample, period: float) -> Edge | None:
        """End an over of speech that has rested long enough."""
        if not self.voice or sample.seconds - self._rest.seconds < _SILENCE_SECONDS:
            return None
        rest = [each for each in self._recent if each.seconds >= self._rest.seconds]
        if len(rest) < _SILENCE_SAMPLES:
            return None
        before = [each for each in self._recent if each.seconds < self._rest.seconds]
        self._recent = deque(before or rest[:1], maxlen=100)
        self.back = rest
        return self._end(0, period)

    def _sharp(self, first: int, period: float) -> bool:
        """Tell whether the current came up in one step to the `first` of the samples back, not as the sun does."""
        arrived = self.back[first]
        earliest = arrived.seconds - sharp_limit(period)
        just_before = [each.amps for each in (*self._recent, *self.back[:first]) if each.seconds >= earliest]
        return bool(just_before) and arrived.amps - min(just_before) >= 0.5 * min(self.step_amps, 2.0)

    def _lasting(self, first: int) -> float:
        """Give how long the samples from `first` on have lasted, 0 for fewer than two."""
        return self.back[-1].seconds - self.back[first].seconds if first < len(self.back) else 0.0

    def _keep_sending(self, *samples: Sample) -> None:
        self._recent.extend(self.back)
        self._recent.extend(samples)
        self.back.clear()
        self._home = 0
        self._carrier = not self.voice and (self._carrier or self._steady())
        young = self._recent[-1].seconds - self.start.seconds < _STEP_SECONDS or len(self._recent) == 3
        if young and self._standing is not None and self._steady():
            self.step_amps = max(self._standing - self.level, 0.3)

    def _shift(self, period: float) -> None:
        """Go on sending at another level: a charger came in, or the power was turned down - or was it the end?"""
        samples = list(self.back)
        self.shift = Shift(self._end(0, period), self.level, samples)
        level = median(each.amps for each in samples)
        if self._standing is not None and level > self._standing:
            self._standing += level - self.level
        self._recent.clear()
        self._keep_sending()

    def _end(self, first: int, period: float) -> Edge:
        """Give the edge before the `first` sample of those that are back."""
        sending = [*self._recent, *self.back][: len(self._recent) + first][-2:]
        last = sending[-1]
        part_way = len(sending) == 2 and last.amps > self.level + 0.3 * self.step_amps
        left = sending[0] if part_way and last.seconds - sending[0].seconds <= 1.5 * period else last
        del self.back[:first]
        seconds, uncertainty = bracket(left.seconds, self.back[0].seconds)
        volts = [each.volts for each in self.back if each.volts is not None]
        amps = median(each.amps for each in self.back)
        after = Sample(self.back[-1].seconds, amps, median(volts) if volts else None)
        return self.finish(seconds, uncertainty, after, "step")
