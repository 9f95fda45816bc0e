"""Tells a shunt that is wired, or signed, backwards: then the volts fall while it shows charging."""

from __future__ import annotations

from collections import deque

_LEAST_STEP_AMPS = 2.0
_LEAST_STEP_VOLTS = 0.02
_TOGETHER_SECONDS = 5.0
_JUDGED_STEPS = 5
_SHARE = 0.8


class PolarityWatch:
    """Watches steps of the load. A pack's volts go down when it is discharged more, whatever its chemistry.

    Five clear steps are asked for before it says anything, and four of five must agree.
    """

    def __init__(self) -> None:
        self._recent: deque[tuple[float, float, float]] = deque(maxlen=3)
        self._steps: deque[bool] = deque(maxlen=2 * _JUDGED_STEPS)

    @property
    def backwards(self) -> bool:
        """Whether the steps seen so far say that charge and discharge are swapped."""
        return len(self._steps) >= _JUDGED_STEPS and sum(self._steps) >= _SHARE * len(self._steps)

    def feed(self, seconds: float, volts: float, amps: float) -> None:
        """Take one sample: monotonic seconds, volts, amps as shown (discharge should be negative)."""
        self._recent.append((seconds, volts, amps))
        if len(self._recent) < 3:
            return
        # Two samples apart: volts and amps of one frame need not be of the same instant.
        before = self._recent[0]
        if seconds - before[0] > _TOGETHER_SECONDS:
            return
        step_volts, step_amps = volts - before[1], amps - before[2]
        if abs(step_amps) < _LEAST_STEP_AMPS or abs(step_volts) < _LEAST_STEP_VOLTS:
            return
        self._steps.append(step_volts * step_amps < 0)
        self._recent.clear()
