"""What the current looks like when nobody transmits: the standing level, the receive level, the wander."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable
from math import exp
from statistics import median

from fieldtui.power.edges import Sample

MOST_RECEIVE_AMPS = 2.5
"""A receiving station is taken to draw at most this, before its own level is known.

Plausibility band of a 50 W mobile set: receive 0.2 to 2 A, transmit 6 to 15 A (common practice, no source)."""

_WINDOW_SECONDS = 1.6
_LEAST_SAMPLES = 3


class Levels:
    """Learns from samples that belong to no transmission.

    `standing` is where the current is now: it follows chargers, clouds and fans within seconds.
    `receive` is the level without any charger. A charger only ever adds, so only standing levels on the
    discharge side teach it; it learns fast at first, slowly later, and holds still while the pack is charged
    and while it is `in_doubt` whether the present level is a transmission.
    """

    def __init__(self) -> None:
        self.standing: float | None = None
        self.receive: float | None = None
        self.in_doubt = False
        self._recent: deque[Sample] = deque(maxlen=32)
        self._learnt_seconds = 0.0
        self._variance = 0.0
        self._difference = 0.0

    @property
    def noise(self) -> float:
        """Root mean square noise from one sample to the next, in amps."""
        return float((self._difference / 2) ** 0.5)

    @property
    def spread(self) -> float:
        """Root mean square wander of the current about its standing level, in amps."""
        return float(self._variance**0.5)

    def learn(self, sample: Sample) -> None:
        """Take one sample that belongs to no transmission."""
        recent = self._recent
        elapsed = min(sample.seconds - recent[-1].seconds, 2.0) if recent else 0.0
        recent.append(sample)
        while len(recent) > _LEAST_SAMPLES and sample.seconds - recent[0].seconds > _WINDOW_SECONDS:
            recent.popleft()
        if self.standing is not None and elapsed > 0:
            self._learn_spread(sample.amps - self.standing, elapsed)
            step = sample.amps - recent[-2].amps if len(recent) > 1 else 0.0
            self._difference += (min(step * step, 0.1) - self._difference) * _share(elapsed, 20.0)
        self.standing = median(each.amps for each in recent)
        if not self.in_doubt:
            self._learn_receive(elapsed)

    def restart(self, samples: Iterable[Sample] = ()) -> None:
        """Forget where the current stood and begin again with these samples; the receive level stays."""
        self._recent.clear()
        self._recent.extend(samples)
        self.standing = median(each.amps for each in self._recent) if self._recent else None

    def steady(self, tolerance: float) -> bool:
        """Tell whether the standing level has stayed within `tolerance` amps over the last samples."""
        values = [each.amps for each in self._recent]
        half = len(values) // 2
        return half > 0 and abs(median(values[:half]) - median(values[half:])) <= tolerance

    def _learn_spread(self, off: float, elapsed: float) -> None:
        squared = min(off * off, 1.0)  # one wild sample must not deafen the detector
        self._variance += (squared - self._variance) * _share(elapsed, 20.0)

    def _learn_receive(self, elapsed: float) -> None:
        standing = self.standing
        if standing is None or standing >= 0:
            return
        if self.receive is None:
            self.receive = standing
            return
        self._learnt_seconds += elapsed
        slow = 20.0 if standing < self.receive else 300.0
        pace = min(slow, max(self._learnt_seconds, 2.0))
        self.receive += (standing - self.receive) * _share(elapsed, pace)


def _share(elapsed: float, time_constant: float) -> float:
    """Give the weight of the newest value in an exponential mean."""
    return 1 - exp(-elapsed / time_constant)
