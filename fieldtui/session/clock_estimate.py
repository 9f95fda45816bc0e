"""True time from the sentences of a position receiver, on the clock that never steps. Pure.

A sentence names the instant of its fix, and arrives later: by its own length on the line (70 characters take 73 ms at
9600 baud, 146 ms at 4800) and by the work of the receiver, tens to hundreds of milliseconds (common practice, no
source). A delay is never negative, so of many sentences the one that came soonest after its instant is nearest to
the truth; what lies far from the middle of all of them is not a time at all.
"""

from __future__ import annotations

from collections import deque
from datetime import UTC, datetime

from msgspec import Struct

from fieldtui.power.median import median

USUAL_DELAY_SECONDS = 0.2
"""Of the soonest sentence: half way between none and the worst that is usual (common practice, no source)."""
LEAST_UNCERTAINTY_SECONDS = 0.5
"""Without a pulse every second nothing better can be claimed (common practice, no source)."""
UNCONFIRMED_SECONDS = 20.0
"""A receiver that has just been switched on may not know the leap seconds yet, 18 since 2017 (IERS Bulletin C); the
almanac that tells them takes 12.5 minutes (IS-GPS-200), most receivers keep the last one."""
CONFIRMED_AFTER_SECONDS = 60.0
"""So long its time has to run in step with ours before its seconds are trusted (ours)."""
FEWEST = 5
"""Sentences before anything is said."""
SPREAD_SECONDS = 2.0
"""From the middle: further off is a damaged time that its checksum did not show."""
WINDOW_SECONDS = 300.0
MOST_SAMPLES = 600


class TimeEstimate(Struct, frozen=True):
    """True time = monotonic clock + `lead_seconds` (Unix), to within `uncertainty_seconds`."""

    lead_seconds: float
    uncertainty_seconds: float
    confirmed: bool

    def offset_seconds(self, at: datetime, mono_seconds: float) -> float:
        """True time less a system clock that showed `at` at that monotonic moment."""
        return mono_seconds + self.lead_seconds - at.timestamp()


class ClockEstimator:
    """Takes instants and their arrivals; holds the last five minutes."""

    def __init__(self) -> None:
        self._samples: deque[tuple[float, float]] = deque(maxlen=MOST_SAMPLES)
        self._last_utc: datetime | None = None
        self._in_step_since: float | None = None

    def take(self, utc: datetime, mono_seconds: float) -> None:
        """A sentence that names an instant arrived. The same instant again arrives later, and tells nothing."""
        if utc == self._last_utc:
            return
        self._last_utc = utc
        lead = utc.astimezone(UTC).timestamp() - mono_seconds
        while self._samples and mono_seconds - self._samples[0][0] > WINDOW_SECONDS:
            self._samples.popleft()
        self._samples.append((mono_seconds, lead))
        self._follow_step(mono_seconds)

    def estimate(self) -> TimeEstimate | None:
        """What is known now; None before enough sentences agree."""
        near = self._near()
        if len(near) < FEWEST or 2 * len(near) <= len(self._samples):
            return None
        soonest = max(lead for _, lead in near)
        first, last = near[0][0], near[-1][0]
        confirmed = self._in_step_since is not None and last - self._in_step_since >= CONFIRMED_AFTER_SECONDS
        # Few sentences may all have been late ones: their spread says how late they can be.
        spread = soonest - min(lead for _, lead in near) if last - first < CONFIRMED_AFTER_SECONDS else 0.0
        uncertainty = max(LEAST_UNCERTAINTY_SECONDS, spread) if confirmed else UNCONFIRMED_SECONDS
        return TimeEstimate(soonest + USUAL_DELAY_SECONDS, uncertainty, confirmed)

    def _near(self) -> list[tuple[float, float]]:
        if not self._samples:
            return []
        middle = median(lead for _, lead in self._samples)
        return [each for each in self._samples if abs(each[1] - middle) <= SPREAD_SECONDS]

    def _follow_step(self, now: float) -> None:
        """A receiver that learnt its leap seconds steps by whole seconds: what it said before is forgotten."""
        recent = [lead for _, lead in list(self._samples)[-FEWEST:]]
        before = [lead for _, lead in list(self._samples)[:-FEWEST]]
        if len(recent) == FEWEST and max(recent) - min(recent) < 1.0:
            if before and abs(median(recent) - median(before)) >= 0.9:
                kept = list(self._samples)[-FEWEST:]
                self._samples.clear()
                self._samples.extend(kept)
                self._in_step_since = kept[0][0]
            elif self._in_step_since is None:
                self._in_step_since = now
