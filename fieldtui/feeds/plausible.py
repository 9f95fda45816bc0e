"""What a battery can possibly say: limits of one reading, and of the step between two.

A modulo-256 sum lets one garbage frame in 256 through and never sees two swapped digits (13.1 V and
31.1 V sum alike), so a checked frame is looked at once more.
The limits are this project's own choice, wide enough for any pack a person can carry.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from fieldtui.feeds.readings import BatteryReading, Timed, problem

if TYPE_CHECKING:
    from collections.abc import Sequence

LIMITS = {
    "volts": (-0.5, 80.0),
    "amps": (-1000.0, 1000.0),
    "charge_percent": (0.0, 100.0),
    "temperature_c": (-60.0, 150.0),
}
"""Lowest and highest value of each quantity. An idle input may read a little below zero volts."""

LARGEST_STEP_VOLTS = 3.0
"""More than this within a second is believed only when the next reading agrees."""


def limit_broken(reading: BatteryReading) -> str | None:
    """Say which limit the reading breaks, in words, or None when it is possible."""
    for name, (lowest, highest) in LIMITS.items():
        value = getattr(reading, name)
        if value is not None and not lowest <= value <= highest:
            return f"{name.replace('_', ' ')} {value:g}, possible is {lowest:g} to {highest:g}"
    return None


def step_possible(earlier_volts: float | None, later_volts: float | None, seconds: float = 1.0) -> bool:
    """Whether a pack can have gone from one to the other in that time, taken as one second at least.

    A voltage that is not known contradicts nothing.
    """
    if earlier_volts is None or later_volts is None:
        return True
    return abs(later_volts - earlier_volts) <= LARGEST_STEP_VOLTS * max(1.0, seconds)


class StepGuard:
    """Holds back a reading whose voltage jumped until the next one confirms or refutes it.

    A real jump (another pack was connected) is therefore seen one reading late, and a single false
    one never.
    """

    def __init__(self) -> None:
        self._trusted: Timed | None = None
        self._held: Timed | None = None

    def admit(self, timed: Timed) -> Sequence[Timed]:
        """Return what may be passed on, in order: nothing while `timed` has to wait for the next one."""
        if _volts(timed) is None:
            return (timed,)
        held, self._held = self._held, None
        if self._trusted is None or _follows(self._trusted, timed):
            self._trusted = timed
            return (*_refused(held), timed)
        if held is not None and _follows(held, timed):
            self._trusted = timed
            return (held, timed)
        self._held = timed
        return _refused(held)


def _volts(timed: Timed) -> float | None:
    return timed.item.volts if isinstance(timed.item, BatteryReading) else None


def _follows(earlier: Timed, later: Timed) -> bool:
    seconds = later.monotonic_seconds - earlier.monotonic_seconds
    return step_possible(_volts(earlier), _volts(later), seconds)


def _refused(held: Timed | None) -> Sequence[Timed]:
    if held is None:
        return ()
    what = problem("implausible", f"{_volts(held):g} V in one reading only")
    return (Timed(what, held.monotonic_seconds),)
