"""One line of seconds through a session, over suspends, stepped wall clocks and reboots."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta

from msgspec import Struct
from msgspec.structs import replace

from fieldtui.journal.line import Envelope
from fieldtui.journal.stamp import Stamp

BRIDGED_WELL_SECONDS = 2.0
"""A time off that is known to be wrong by less stays as it is: clocks are compared no better (own choice)."""


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


class Bridge:
    """The time that the machine was off, from the last line of one boot to the first of the next."""

    def __init__(self, before: Moment, first_seconds: float, up_to: float, *, lost: bool) -> None:
        self.before, self.first_seconds = before, first_seconds
        self.up_to = up_to
        """The latest session second before it."""
        self.lost = lost
        """Whether nothing tells how long it was."""
        self.moved = 0.0
        """By how much what was before it turned out to lie later: the time off was shorter than its seconds say."""


class Timeline:
    """Maps every boot's monotonic clock onto the session's seconds.

    Within a boot only the monotonic clock counts. From one boot to the next nothing but the wall clock
    is known; it may be wrong, so such a bridge is a guess, and never negative: a board without a clock of its
    own begins where it was switched off, or earlier, and how long it was off is not known. Once both boots
    are measured it is known; the seconds stay as they were given, and `between` tells the true difference.
    """

    def __init__(self) -> None:
        self.bridges = 0
        self.bridged: Bridge | None = None
        """The bridge to the last line, if that is the first of its boot."""
        self._zero_of: dict[str, float] = {}
        self._bridge_to: dict[str, Bridge] = {}
        self._true_zero: dict[str, float] = {}
        """True time (Unix seconds) of second zero of the monotonic clock, for each boot that was measured."""
        self._last_seconds = 0.0
        self._last: Moment | None = None

    @property
    def lost_time(self) -> bool:
        """Whether the last line is of a boot that began with an older clock than the line before it."""
        return self.bridged is not None and self.bridged.lost

    def advance(self, envelope: Envelope) -> Moment:
        """The moment of the next line of the file."""
        boot, mono = envelope.boot, envelope.mono
        zero = self._zero_of.get(boot)
        self.bridged = None
        if zero is None:
            zero = self._begin(envelope.stamp)
        seconds = mono + zero
        if seconds > self._last_seconds:  # noqa: PLR1730 - for every line; a call costs four times as much
            self._last_seconds = seconds
        moment = self._last = Moment(seconds, envelope.at, boot, envelope.seq)
        return moment

    def on_measured(self, offset_seconds: float, moment: Moment) -> tuple[float, float] | None:
        """At that line the wall clock of its boot was found to be off by so much.

        If that tells a better bridge to this boot: up to which second the session lies later than was thought, and
        by how many seconds (negative: earlier).
        """
        boot = moment.boot
        zero = self._zero_of[boot]
        self._true_zero[boot] = moment.at.timestamp() + offset_seconds - (moment.seconds - zero)
        bridge = self._bridge_to.get(boot)
        ended = self._true_seconds(bridge.before) if bridge else None
        if bridge is None or ended is None:
            return None
        away = max(0.0, bridge.first_seconds - zero + self._true_zero[boot] - ended)
        by = bridge.first_seconds - bridge.before.seconds - away - bridge.moved
        if abs(by) <= BRIDGED_WELL_SECONDS:
            return None
        up_to = bridge.up_to + bridge.moved
        bridge.moved += by
        return up_to, by

    def between(self, first: float, last: float) -> float:
        """Seconds from one session second to another, by the best that is known of the times in between."""
        return last - first - sum(self._moves(first, last))

    def seconds_at(self, stamp: Stamp) -> float:
        """The session's seconds at a moment that is in no line, such as now."""
        zero = self._zero_of.get(stamp.boot)
        return stamp.mono_seconds + zero if zero is not None else self._first_seconds(stamp)[0]

    def seconds_of(self, mono_seconds: float, boot: str) -> float:
        """The session's seconds at a monotonic time of a boot that has lines in the file."""
        return mono_seconds + self._zero_of.get(boot, 0.0)

    def _moves(self, first: float, last: float) -> Iterable[float]:
        return (each.moved for each in self._bridge_to.values() if first <= each.up_to < last)

    def _begin(self, stamp: Stamp) -> float:
        seconds, lost = self._first_seconds(stamp)
        if self._last is not None:
            self.bridges += 1
            self.bridged = Bridge(self._last, seconds, self._last_seconds, lost=lost)
            self._bridge_to[stamp.boot] = self.bridged
        zero = self._zero_of[stamp.boot] = seconds - stamp.mono_seconds
        return zero

    def _first_seconds(self, stamp: Stamp) -> tuple[float, bool]:
        """The session second at which a boot begins that has no line yet, and whether nothing tells it."""
        last = self._last
        if last is None:
            return 0.0, False
        # The new boot may go on with the same wrong clock, or have been set right meanwhile; of the two the
        # shorter time counts that can have been, until the new clock is measured too.
        aways = [(stamp.at - last.at).total_seconds()]
        ended = self._true_seconds(last)
        if ended is not None:
            aways.append(stamp.at.timestamp() - ended)
        away = min((each for each in aways if each >= 0), default=None)
        if away is None:
            return self._last_seconds, True
        return max(self._last_seconds, last.seconds + away), False

    def _true_seconds(self, moment: Moment) -> float | None:
        zero = self._true_zero.get(moment.boot)
        return None if zero is None else zero + moment.seconds - self._zero_of[moment.boot]
