"""Watches the battery for the operator, in the feed's thread: what is wrong is recorded even if the link stalls.

Only the screen that reads the shunt itself watches; other screens see its alarms in the journal.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterable, Sequence

from fieldtui.journal.event_types import Event
from fieldtui.journal.events import AlarmAcknowledged, AlarmCleared, AlarmRaised
from fieldtui.power.alarms.alarms import Alarms, Change, Estimate, Facts, Limits
from fieldtui.power.packs import Pack
from fieldtui.power.polarity import PolarityWatch
from fieldtui.session.meter import event_of
from fieldtui.session.power import StandingAlarm
from fieldtui.session.recording.battery import Sample

LATE_SECONDS = 0.5
"""A reading is told at most so long after its moment; until then time alone raises nothing that it may prevent."""


GAP_SECONDS = 5.0
MOST_ON_THEIR_WAY = 64


def gap_seconds_at(pace: float) -> float:
    """Seconds without a reading that are a gap; where time runs faster, readings come in larger steps."""
    return GAP_SECONDS * max(1.0, pace / 4)


class AlarmWatch:
    """Turns readings into alarm events, each with the moment that decided it. Safe to call from two threads.

    `submit` gets events and the moment of them, in monotonic seconds of the samples.
    """

    def __init__(
        self,
        pack: Pack,
        submit: Callable[[Sequence[Event], float], None],
        *,
        long_over_seconds: float = 150.0,
        pace: float = 1.0,
    ) -> None:
        self.repeats = 0
        """How often an ignored alarm was said again; the screen rings when it grows."""
        self._alarms = Alarms(
            Limits(pack, long_over_seconds=long_over_seconds, gap_seconds=gap_seconds_at(pace))
        )
        self._late = LATE_SECONDS * pace
        self._polarity = PolarityWatch()
        self._submit = submit
        self._guard = threading.Lock()
        self._on_their_way: list[tuple[type[Event], str]] = []
        """What was told and was not read back from the journal yet."""

    def restore(self, standing: Iterable[StandingAlarm], now_seconds: float) -> None:
        """Take over alarms that stood in the journal when the program was started again."""
        with self._guard:
            for alarm in standing:
                self._alarms.restore(alarm.alarm, alarm.words, now_seconds, acknowledged=alarm.acknowledged)

    def on_sample(self, sample: Sample, *, sending_since: float | None) -> None:
        """A new reading."""
        with self._guard:
            whole = sample.volts is not None and sample.amps is not None
            if sample.volts is not None and sample.amps is not None:
                self._polarity.feed(sample.mono_seconds, sample.volts, sample.amps)
            facts = Facts(
                seconds=sample.mono_seconds,
                volts=sample.volts,
                amps=sample.amps,
                temperature_c=sample.temperature_c,
                sending_since=sending_since,
                wired_backwards=self._polarity.backwards if whole else None,
            )
            self._tell(self._alarms.take(facts))

    def on_estimate(self, estimate: Estimate) -> None:
        """A line of the journal was counted; it may come some seconds after its reading."""
        with self._guard:
            self._tell(self._alarms.take_estimate(estimate))

    def on_second(self, now_seconds: float) -> None:
        """Time passes, with or without readings."""
        with self._guard:
            self._tell(self._alarms.pass_time(now_seconds - self._late))

    def on_lost(self, seconds: float) -> None:
        """The feed has no readings any more."""
        with self._guard:
            self._tell(self._alarms.lose_sight(seconds))

    def on_line(self, event: Event, seconds: float) -> None:
        """A line about an alarm is in the journal: one of this watch, or what a person or another program did."""
        with self._guard:
            match event:
                case AlarmRaised(alarm=kind) | AlarmCleared(alarm=kind) if (
                    type(event),
                    kind,
                ) in self._on_their_way:
                    self._on_their_way.remove((type(event), kind))
                case AlarmRaised(alarm=kind, words=words):
                    self._alarms.restore(kind, words, seconds, acknowledged=False)
                case AlarmCleared(alarm=kind):
                    self._alarms.drop(kind, seconds)
                case AlarmAcknowledged(alarm=kind):
                    self._alarms.acknowledge(kind)

    def acknowledge(self) -> list[str]:
        """The operator has seen all that stands; returns what was not acknowledged before."""
        with self._guard:
            fresh = [kind for kind, alarm in self._alarms.active.items() if not alarm.acknowledged]
            self._alarms.acknowledge()
            return fresh

    def _tell(self, changes: Iterable[Change]) -> None:
        for change in changes:
            if change.happening == "repeated":
                self.repeats += 1
                continue
            event = event_of(change)
            self._on_their_way.append((type(event), change.kind))
            del self._on_their_way[:-MOST_ON_THEIR_WAY]
            self._submit([event], change.seconds)
