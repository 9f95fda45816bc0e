"""Counting charge and energy out of a pack: trapezium rule over the samples, with every gap stated.

A counter that quietly draws a straight line across ten minutes without data invents ampere-hours. This one
counts only between samples that stand close enough together, and tells how long it could not look.
"""

from __future__ import annotations

from math import isfinite

from msgspec import Struct

SECONDS_PER_HOUR = 3600.0


class Counter(Struct):
    """Running totals; discharge is negative amps, and what leaves the pack counts as positive `..._out`.

    `gap_threshold_seconds`: samples further apart than this are a gap; nothing is counted across it.
    Five seconds is five samples of the slowest usual feed (convention). A step between two samples at the
    same instant is allowed; a sample earlier than the last one is ignored and counted in `ignored`.
    """

    gap_threshold_seconds: float = 5.0
    amp_hours_out: float = 0.0
    amp_hours_in: float = 0.0
    watt_hours_out: float = 0.0
    watt_hours_in: float = 0.0
    covered_seconds: float = 0.0
    gap_seconds: float = 0.0
    longest_gap_seconds: float = 0.0
    gaps: int = 0
    ignored: int = 0
    amp_hours_without_volts: float = 0.0
    """Of what left the pack, the part whose energy is not known: it was read without volts."""
    _seconds: float | None = None
    _volts: float | None = None
    _amps: float = 0.0

    def add(self, seconds: float, volts: float | None, amps: float) -> None:
        """Take one sample: monotonic seconds, volts of the pack, amps (negative is discharge).

        Without volts charge is counted, and no energy.
        """
        if not (isfinite(seconds) and (volts is None or isfinite(volts)) and isfinite(amps)):
            self.ignored += 1
            return
        if self._seconds is not None:
            elapsed = seconds - self._seconds
            if elapsed < 0:
                self.ignored += 1
                return
            if elapsed > self.gap_threshold_seconds:
                self._note_gap(elapsed)
            else:
                self._count(elapsed, volts, amps)
        self._seconds, self._volts, self._amps = seconds, volts, amps

    @property
    def amp_hours_net(self) -> float:
        """Ampere-hours that left the pack less those that came back."""
        return self.amp_hours_out - self.amp_hours_in

    @property
    def average_amps(self) -> float | None:
        """Mean current over the covered time, negative for discharge; None before two samples."""
        if self.covered_seconds <= 0:
            return None
        return -self.amp_hours_net * SECONDS_PER_HOUR / self.covered_seconds

    def offset_drift_amp_hours(self, offset_amps: float) -> float:
        """Give the ampere-hours of error a constant current offset built up over the covered time."""
        return abs(offset_amps) * self.covered_seconds / SECONDS_PER_HOUR

    def _note_gap(self, elapsed: float) -> None:
        self.gaps += 1
        self.gap_seconds += elapsed
        self.longest_gap_seconds = max(self.longest_gap_seconds, elapsed)

    def _count(self, elapsed: float, volts: float | None, amps: float) -> None:
        """Add one trapezium, split where the current crosses zero so that out and in are each exact."""
        hours = elapsed / SECONDS_PER_HOUR
        self.covered_seconds += elapsed
        before, after = self._amps, amps
        if before * after >= 0:
            self._count_one_way(hours, (self._volts, before), (volts, after))
            return
        share = before / (before - after)
        known = self._volts is not None and volts is not None
        middle = self._volts + (volts - self._volts) * share if known else None  # type: ignore[operator]
        self._count_one_way(hours * share, (self._volts, before), (middle, 0.0))
        self._count_one_way(hours * (1 - share), (middle, 0.0), (volts, after))

    def _count_one_way(
        self, hours: float, start: tuple[float | None, float], end: tuple[float | None, float]
    ) -> None:
        amp_hours = (start[1] + end[1]) / 2 * hours
        known = start[0] is not None and end[0] is not None
        watt_hours = (start[0] * start[1] + end[0] * end[1]) / 2 * hours if known else 0.0  # type: ignore[operator]
        if amp_hours <= 0:
            self.amp_hours_out -= amp_hours
            self.watt_hours_out -= watt_hours
            self.amp_hours_without_volts -= 0.0 if known else amp_hours
        else:
            self.amp_hours_in += amp_hours
            self.watt_hours_in += watt_hours
