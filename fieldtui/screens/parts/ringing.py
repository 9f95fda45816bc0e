"""What calls for the operator at this moment, put before the bells once a second; drawing only shows it."""

from __future__ import annotations

from collections.abc import Callable
from math import inf

from fieldtui.screens.parts.setup import Setup
from fieldtui.screens.reminders import STROKE_SECONDS, Ask, Bells, Named, Strokes
from fieldtui.screens.views.marked_over import MarkedOver, marked_now
from fieldtui.screens.views.reminder import CALL, EMERGENCY, TOO_LONG, call_level, reminder
from fieldtui.screens.views.seen import Seen
from fieldtui.session.battery import SILENT_SECONDS
from fieldtui.session.identification.demands import NOW_SECONDS, SOON_SECONDS, IdentificationView, Need

MOST_INTERVALS = 6
"""So often a call that is late, and was answered, is rung for again: after each further interval."""
LONG_OVER = "long-over"
"""The alarm of an over that the shunt sees; it has a ring of its own."""


DOUBT_SECONDS = 5.0
"""So long at most a current that looks like a carrier, and is not told from another load yet, holds the bell."""


class Ringing:
    """Asks the bells once a second; keeps what of alarms and packets was there before, as only what is new calls."""

    def __init__(self, setup: Setup, strike: Callable[[float], None]) -> None:
        """`strike` rings once, in so many seconds."""
        self.bells = Bells(on=setup.settings.bell)
        self._setup, self._strike = setup, strike
        self._severe, self._other, self._calling = Named(), Named(), Named()
        self._doubt = Doubt()

    def each_second(self, seen: Seen) -> bool:
        """Ring if something calls; returns whether something calls that did not before."""
        settings = self._setup.settings
        marked = self._marked(seen)
        # Minutes of the demonstration pass faster, but not those of who listens.
        heard_at = seen.stamp.mono_seconds / settings.pace
        sending = self._sending(seen, marked)
        ring = self.bells.ring(self._asks(seen, marked), heard_at, sending=sending)
        for stroke in range(ring.strokes):
            self._strike(stroke * STROKE_SECONDS)
        return ring.risen

    def reminder(self, seen: Seen) -> str:
        """What waits for an answer, in words."""
        modem = self._setup.settings.modem is not None
        return reminder(seen, self.bells, self._setup.keys, self._marked(seen), modem=modem)

    def mute(self) -> str:
        """Bell on or off; returns what to say of it."""
        self.bells.on = not self.bells.on
        return "bell on" if self.bells.on else "bell off: reminders are only shown"

    def _marked(self, seen: Seen) -> MarkedOver | None:
        return marked_now(seen, self._setup.settings.long_over_seconds)

    def _sending(self, seen: Seen, marked: MarkedOver | None) -> bool:
        """Whether a microphone may be open. A mark is believed as long as an over should last, a shunt while read."""
        latest = seen.latest
        if latest is not None and latest.sending:
            return True
        perhaps = latest is not None and latest.perhaps_sending
        if self._doubt.stands(seen.stamp.mono_seconds, perhaps=perhaps, pace=self._setup.settings.pace):
            return True
        if marked is not None:
            return not marked.long
        since, read = seen.state.identification.sending_since, seen.state.battery.shunt_seen
        return since is not None and seen.now - max(since, read or since) <= SILENT_SECONDS

    def _asks(self, seen: Seen, marked: MarkedOver | None) -> list[Ask]:
        """All that can call, the most urgent first."""
        state = seen.state
        fresh = {each.alarm: each.severity for each in state.power.alarms.values() if not each.acknowledged}
        too_long = fresh.pop(LONG_OVER, None) is not None or (marked is not None and marked.long)
        severe = {alarm for alarm, severity in fresh.items() if severity == "severe"}
        severe_level = self._severe.level(severe)
        other_level = self._other.level(fresh.keys() - severe)
        if severe:
            other_level = 0  # one ring for the battery is enough; what is less grave rings again after that
        again, (calling, messages) = seen.alarm_repeats, self._packets(seen)
        return [
            Ask(EMERGENCY, Strokes.PACKET, self._calling.level(calling)),
            Ask("severe", Strokes.BATTERY, severe_level, again, repeat_seconds=None, anyway=True),
            Ask(TOO_LONG, Strokes.TOO_LONG, int(too_long), anyway=True),
            _call(state.identification.view(seen.now), state.identification.usual_interval_seconds),
            Ask("battery", Strokes.BATTERY, other_level, again, repeat_seconds=None),
            Ask("packet", Strokes.PACKET, messages, repeat_seconds=None),
        ]

    def _packets(self, seen: Seen) -> tuple[set[str], int]:
        """Who says "emergency", and how many messages to this station came so far if one was not seen."""
        if self._setup.settings.modem is None:
            return set(), 0
        from fieldtui.screens.packet_bell import calling, messages_level  # noqa: PLC0415  (only with a modem)

        return set(calling(seen.state.packets)), messages_level(seen.state.packets)


class Doubt:
    """Whether an over may just have begun: what is rung for now would be heard in its first seconds."""

    def __init__(self) -> None:
        self._since: float | None = None
        """On the clock of the journal."""

    def stands(self, mono_seconds: float, *, perhaps: bool, pace: float) -> bool:
        """Whether what perhaps is a carrier holds the bell; a doubt that stays does so for some seconds only."""
        if not perhaps:
            self._since = None
        elif self._since is None:
            self._since = mono_seconds
        return self._since is not None and mono_seconds - self._since < DOUBT_SECONDS * pace


def _call(view: IdentificationView, interval: float) -> Ask:
    left = view.left_seconds
    intervals = int(view.late_seconds / max(interval, NOW_SECONDS)) if view.need is Need.OVERDUE else 0
    return Ask(
        CALL,
        Strokes.CALL,
        call_level(view),
        min(intervals, MOST_INTERVALS),
        rises_in=inf if left is None else _rises_in(left),
    )


def _rises_in(left: float) -> float:
    """Seconds until the next step: soon, now, late."""
    return next((left + bound for bound in (-SOON_SECONDS, 0.0, NOW_SECONDS) if left + bound > 0), inf)
