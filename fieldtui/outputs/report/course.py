"""The course of a session over its whole length, in memory that does not grow with it.

The state keeps what the screen needs: the last hours, the latest transmissions. A report wants everything, so
this watches the same lines while they are folded and keeps it in a fixed number of steps.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta

from fieldtui.journal.events import AlarmCleared, AlarmRaised, BatterySampled, Identified, VoltsRead
from fieldtui.journal.line import Envelope, read_event
from fieldtui.session.state import SessionState
from fieldtui.session.timeline import Moment

STEPS = 960
FIRST_STEP_SECONDS = 2.0
MOST_CALLS = 2000
MOST_ALARMS = 500
MOST_BOOTS = 200


@dataclass(slots=True)
class Extent:
    """The lowest and the highest of a step."""

    low: float
    high: float

    def widen(self, low: float, high: float) -> None:
        """Take in more."""
        self.low, self.high = min(self.low, low), max(self.high, high)


@dataclass(slots=True)
class Steps:
    """Values over session seconds in at most `STEPS` equal steps; their length doubles as the session goes on.

    `extents` holds lowest and highest of each step that had a value, `sent` the seconds sent in it.
    """

    step_seconds: float = FIRST_STEP_SECONDS
    extents: dict[int, Extent] = field(default_factory=dict)
    sent: dict[int, float] = field(default_factory=dict)

    def note(self, seconds: float, low: float, high: float) -> None:
        """A value, or the lowest and highest of several, at a moment."""
        at = self._index(seconds)
        if at in self.extents:
            self.extents[at].widen(low, high)
        else:
            self.extents[at] = Extent(low, high)

    def note_sent(self, start: float, end: float) -> None:
        """A transmission; an end before its start is none."""
        if end <= start:
            return
        last = self._index(end)
        first = max(0, int(max(0.0, start) // self.step_seconds))
        for at in range(first, last + 1):
            begins = at * self.step_seconds
            part = min(end, begins + self.step_seconds) - max(start, begins)
            if part > 0:
                self.sent[at] = self.sent.get(at, 0.0) + part

    def _index(self, seconds: float) -> int:
        while seconds >= STEPS * self.step_seconds:
            self._double()
        return max(0, int(seconds // self.step_seconds))

    def _double(self) -> None:
        self.step_seconds *= 2
        extents, sent = self.extents, self.sent
        self.extents, self.sent = {}, {}
        for at, extent in extents.items():
            if at // 2 in self.extents:
                self.extents[at // 2].widen(extent.low, extent.high)
            else:
                self.extents[at // 2] = extent
        for at, seconds in sent.items():
            self.sent[at // 2] = self.sent.get(at // 2, 0.0) + seconds


@dataclass(frozen=True, slots=True)
class CallGiven:
    """An identification: how long after the count began, if one ran, and whether that was too long."""

    moment: Moment
    said: str | None
    method: str
    after_seconds: float | None
    late: bool


@dataclass(frozen=True, slots=True)
class AlarmTold:
    """An alarm as it was raised, and when it was over."""

    moment: Moment
    alarm: str
    severity: str
    words: str
    cleared_seconds: float | None = None


@dataclass(slots=True)
class Course:
    """Watches a session being folded; call `take` in the place of `state.apply`."""

    state: SessionState = field(default_factory=SessionState)
    steps: Steps = field(default_factory=Steps)
    calls: list[CallGiven] = field(default_factory=list)
    calls_left_out: int = 0
    last_seconds: float = 0.0
    """Session seconds of the latest moment; the last line of the file may be telemetry that came late."""
    alarms: list[AlarmTold] = field(default_factory=list)
    _boots: list[Moment] = field(default_factory=list)
    _first: Moment | None = None

    def take(self, envelope: Envelope) -> None:
        """Fold the next line, and keep what the state does not."""
        state = self.state
        identity, sent_seconds = state.identification, state.battery.transmit_seconds
        since, due = identity.sending_since, identity.due
        interval, late = identity.rule.interval_seconds, identity.record.late
        doubts = state.battery.meter_doubts
        before = state.last_moment
        state.apply(envelope)
        if state.last_moment is None or state.last_moment is before:
            # A line of a card, written days after the session: no part of its course.
            return
        moment = state.last_moment
        self._note_boot(moment)
        self.last_seconds = max(self.last_seconds, moment.seconds)
        if since is not None:
            # As long as the state counts it: the line that ends it may begin the next one.
            self.steps.note_sent(since, since + state.battery.transmit_seconds - sent_seconds)
        match envelope.kind:
            case "battery-sampled" | "volts-read" if state.battery.meter_doubts == doubts:
                self._note_volts(envelope, moment)
            case "identified":
                after = moment.seconds - (due.seconds - interval) if due and interval else None
                self._note_call(envelope, moment, after, late=identity.record.late > late)
            case "alarm-raised" | "alarm-cleared":
                self._note_alarm(envelope, moment)
            case _:
                pass

    def _note_boot(self, moment: Moment) -> None:
        if self._first is None:
            self._first = moment
        if not self._boots or (self._boots[-1].boot != moment.boot and len(self._boots) < MOST_BOOTS):
            self._boots.append(moment)

    def _note_volts(self, envelope: Envelope, moment: Moment) -> None:
        match read_event(envelope):
            case BatterySampled(volts=volts, lowest_volts=lowest) if volts is not None or lowest is not None:
                values = [value for value in (volts, lowest) if value is not None]
                self.steps.note(moment.seconds, min(values), max(values))
            case VoltsRead(volts=volts):
                self.steps.note(moment.seconds, volts, volts)
            case _:
                pass

    def _note_call(self, envelope: Envelope, moment: Moment, after: float | None, *, late: bool) -> None:
        event = read_event(envelope)
        if not isinstance(event, Identified):
            return
        if len(self.calls) == MOST_CALLS:
            self.calls_left_out += 1
            return
        self.calls.append(CallGiven(moment, event.said, event.method, after, late))

    def _note_alarm(self, envelope: Envelope, moment: Moment) -> None:
        match read_event(envelope):
            case AlarmRaised(alarm=alarm, severity=severity, words=words):
                standing = any(each.alarm == alarm and each.cleared_seconds is None for each in self.alarms)
                if not standing and len(self.alarms) < MOST_ALARMS:
                    self.alarms.append(AlarmTold(moment, alarm, severity, words))
            case AlarmCleared(alarm=alarm):
                self.alarms = [
                    replace(each, cleared_seconds=moment.seconds)
                    if each.alarm == alarm and each.cleared_seconds is None
                    else each
                    for each in self.alarms
                ]
            case _:
                pass

    # Questions, once everything was folded

    @property
    def first_seconds(self) -> float:
        """Session seconds of the first line."""
        return self._first.seconds if self._first else 0.0

    def clock_at(self, seconds: float) -> datetime | None:
        """UTC at a moment of the session, as well as it is known; None for a journal without lines."""
        if not self._boots:
            return None
        at = max(0, bisect_right([boot.seconds for boot in self._boots], seconds) - 1)
        boot = self._boots[at]
        try:
            return self.state.true_at(boot) + timedelta(seconds=seconds - boot.seconds)
        except OverflowError:
            return self.state.true_at(boot)
