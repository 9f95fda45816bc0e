"""One line of seconds through a session, over suspends, stepped wall clocks and reboots."""

from __future__ import annotations

from datetime import datetime, timedelta

from msgspec import Struct
from msgspec.structs import replace

from fieldtui.journal.line import Envelope
from fieldtui.journal.stamp import Stamp


class Moment(Struct, frozen=True, gc=False):
    """When an event happened: seconds since the session's first line, and the raw wall clock of its boot."""

    seconds: float
    at: datetime
    boot: str
    seq: int

    def moved_to(self, seconds: float) -> Moment:
        """Another moment of the session, by the wall clock as it is set at this one."""
        try:
            at = self.at + timedelta(seconds=seconds - self.seconds)
        except OverflowError:
            # A clock at the end of all calendars.
            at = self.at
        return replace(self, seconds=seconds, at=at)


class Timeline:
    """Maps every boot's monotonic clock onto the session's seconds.

    Within a boot only the monotonic clock counts. From one boot to the next nothing but the wall clock
    is known; it may be wrong, so such a bridge is a guess, and never negative: a board without a clock of its
    own begins where it was switched off, or earlier, and how long it was off is not known.
    """

    def __init__(self) -> None:
        self.bridges = 0
        self.lost_time = False
        """Whether the last line is of a boot that began with an older clock than the line before it."""
        self._zero_of: dict[str, float] = {}
        self._last_seconds = 0.0
        self._last_at: datetime | None = None

    def advance(self, envelope: Envelope) -> Moment:
        """The moment of the next line of the file."""
        at, boot = envelope.at, envelope.boot
        zero = self._zero_of.get(boot)
        self.lost_time = False
        if zero is None:
            self.lost_time = self._last_at is not None and at < self._last_at
            zero = self._zero_of[boot] = self._zero(envelope.stamp)
            self.bridges += self._last_at is not None
        seconds = envelope.mono + zero
        if seconds > self._last_seconds:  # noqa: PLR1730 - for every line; a call costs four times as much
            self._last_seconds = seconds
        self._last_at = at
        return Moment(seconds, at, boot, envelope.seq)

    def seconds_at(self, stamp: Stamp) -> float:
        """The session's seconds at a moment that is in no line, such as now."""
        zero = self._zero_of.get(stamp.boot)
        return stamp.mono_seconds + (self._zero(stamp) if zero is None else zero)

    def seconds_of(self, mono_seconds: float, boot: str) -> float:
        """The session's seconds at a monotonic time of a boot that has lines in the file."""
        return mono_seconds + self._zero_of.get(boot, 0.0)

    def _zero(self, stamp: Stamp) -> float:
        if self._last_at is None:
            return -stamp.mono_seconds
        away = max(0.0, (stamp.at - self._last_at).total_seconds())
        return self._last_seconds + away - stamp.mono_seconds
