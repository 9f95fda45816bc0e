"""Watches the battery for the operator, in the feed's thread: what is wrong is recorded even if the link stalls.

Only the screen that reads the shunt itself watches; other screens see its alarms in the journal.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterable

from msgspec import Struct, field

from fieldtui.journal.event_types import Event
from fieldtui.journal.events import AlarmCleared, AlarmRaised
from fieldtui.power.alarms import Alarms, Change, Facts, Limits
from fieldtui.power.packs import Pack
from fieldtui.power.polarity import PolarityWatch
from fieldtui.session.power import PowerView, StandingAlarm
from fieldtui.session.recorder import Sample


class Known(Struct, frozen=True):
    """What the screen's thread last worked out, handed over whole."""

    view: PowerView = field(default_factory=PowerView)
    sending_since: float | None = None
    """On the clock of the samples."""


class AlarmWatch:
    """Turns readings into alarm events. Safe to call from two threads."""

    def __init__(
        self, pack: Pack, submit: Callable[[Iterable[Event]], None], *, long_over_seconds: float = 150.0
    ) -> None:
        self.known = Known()
        self.repeats = 0
        """How often an ignored alarm was said again; the screen rings when it grows."""
        self._alarms = Alarms(Limits(pack, long_over_seconds=long_over_seconds))
        self._polarity = PolarityWatch()
        self._submit = submit
        self._guard = threading.Lock()
        self._last: Sample | None = None

    def restore(self, standing: Iterable[StandingAlarm], now_seconds: float) -> None:
        """Take over alarms that stood in the journal when the program was started again."""
        with self._guard:
            for alarm in standing:
                self._alarms.restore(alarm.alarm, alarm.words, now_seconds, acknowledged=alarm.acknowledged)

    def on_sample(self, sample: Sample, *, sending_since: float | None) -> None:
        """A new reading."""
        with self._guard:
            self._last = sample
            if sample.volts is not None and sample.amps is not None:
                self._polarity.feed(sample.mono_seconds, sample.volts, sample.amps)
            self._update(sample.mono_seconds, sample, sending_since)

    def on_second(self, now_seconds: float) -> None:
        """Time passes without a reading."""
        with self._guard:
            if self._last is not None:
                quiet = Sample(self._last.mono_seconds, None, None)
                self._update(now_seconds, quiet, self.known.sending_since)

    def acknowledge(self) -> list[str]:
        """The operator has seen all that stands; returns what was not acknowledged before."""
        with self._guard:
            fresh = [kind for kind, alarm in self._alarms.active.items() if not alarm.acknowledged]
            self._alarms.acknowledge()
            return fresh

    def _update(self, now_seconds: float, sample: Sample, sending_since: float | None) -> None:
        charge = self.known.view.charge
        facts = Facts(
            seconds=now_seconds,
            volts=sample.volts,
            amps=sample.amps,
            temperature_c=sample.temperature_c,
            charge_high_percent=charge.high_percent if charge else None,
            sending_since=sending_since,
            last_reading_seconds=sample.mono_seconds,
            resistance_rising=self.known.view.resistance_rising,
            wired_backwards=self._polarity.backwards,
        )
        changes = self._alarms.update(facts)
        self.repeats += sum(change.happening == "repeated" for change in changes)
        events = [event for change in changes if (event := _event(change))]
        if events:
            self._submit(events)


def _event(change: Change) -> Event | None:
    if change.happening == "raised":
        return AlarmRaised(alarm=change.kind, severity=change.severity, words=change.text)
    return AlarmCleared(alarm=change.kind) if change.happening == "cleared" else None
