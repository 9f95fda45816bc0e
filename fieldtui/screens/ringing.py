"""What calls for the operator at this moment, put before the bells once a second; drawing only shows it."""

from __future__ import annotations

from functools import partial
from math import inf
from typing import TYPE_CHECKING

from fieldtui.screens.reminders import STROKE_SECONDS, Ask, Named, Strokes
from fieldtui.screens.views.marked_over import MarkedOver, marked_over
from fieldtui.session.battery import SILENT_SECONDS
from fieldtui.session.identification.demands import NOW_SECONDS, SOON_SECONDS, IdentificationView, Need

if TYPE_CHECKING:
    from fieldtui.journal.stamp import Stamp
    from fieldtui.screens.app import SessionApp

CALL = "call"
EMERGENCY = "emergency"
TOO_LONG = "too long"
LEVELS = {Need.SIGN_OFF: 1, Need.SOON: 2, Need.DUE: 3, Need.OVERDUE: 4}
"""How urgent a reminder of the call is; what is not here asks for nothing yet."""
MOST_INTERVALS = 6
"""So often a call that is late, and was answered, is rung for again: after each further interval."""
LONG_OVER = "long-over"
"""The alarm of an over that the shunt sees; it has a ring of its own."""


DOUBT_SECONDS = 5.0
"""So long at most a current that looks like a carrier, and is not told from another load yet, holds the bell."""


class News:
    """What of alarms and packets was there before, so that only what is new calls again."""

    def __init__(self) -> None:
        self.severe, self.other, self.calling = Named(), Named(), Named()
        self.perhaps_sending_since: float | None = None
        """On the clock of the journal."""


def each_second(app: SessionApp) -> None:
    """Ring if something calls. What was said before it came up is old news, and would cover its words."""
    stamp = app.settings.clock.now()
    marked = marked_now(app, stamp)
    # Minutes of the demonstration pass faster, but not those of who listens.
    heard_at = stamp.mono_seconds / app.settings.pace
    ring = app.bells.ring(_asks(app, stamp, marked), heard_at, sending=_sending(app, stamp, marked))
    if ring.risen:
        app.message = ""
    for stroke in range(ring.strokes):
        if stroke:
            app.set_timer(stroke * STROKE_SECONDS, partial(app.bell))
        else:
            app.bell()


def marked_now(app: SessionApp, stamp: Stamp) -> MarkedOver | None:
    """The over that stands by the operator's mark, if there is one."""
    return marked_over(
        app.state,
        app.state.now(stamp),
        app.latest,
        stamp.mono_seconds,
        long_over_seconds=app.settings.long_over_seconds,
    )


def call_level(view: IdentificationView) -> int:
    """How urgent the reminder of the call is; 0 while nothing is to be rung for."""
    return LEVELS.get(view.need, 0)


def _sending(app: SessionApp, stamp: Stamp, marked: MarkedOver | None) -> bool:
    """Whether a microphone may be open. A mark is believed as long as an over should last, a shunt while it is read."""
    if app.latest is not None and app.latest.sending:
        return True
    if carrier_doubted(app, stamp):
        return True
    if marked is not None:
        return not marked.long
    since, seen = app.state.identification.sending_since, app.state.battery.shunt_seen
    return since is not None and app.state.now(stamp) - max(since, seen or since) <= SILENT_SECONDS


def carrier_doubted(app: SessionApp, stamp: Stamp) -> bool:
    """Whether an over may just have begun: what is rung for now would be heard in its first seconds."""
    perhaps = app.latest is not None and app.latest.perhaps_sending
    since = app.news.perhaps_sending_since
    app.news.perhaps_sending_since = since = (
        (stamp.mono_seconds if since is None else since) if perhaps else None
    )
    return since is not None and stamp.mono_seconds - since < DOUBT_SECONDS * app.settings.pace


def _asks(app: SessionApp, stamp: Stamp, marked: MarkedOver | None) -> list[Ask]:
    """All that can call, the most urgent first."""
    news, state = app.news, app.state
    fresh = {alarm.alarm: alarm.severity for alarm in state.power.alarms.values() if not alarm.acknowledged}
    too_long = fresh.pop(LONG_OVER, None) is not None or (marked is not None and marked.long)
    severe = {alarm for alarm, severity in fresh.items() if severity == "severe"}
    severe_level = news.severe.level(severe)
    other_level = news.other.level(fresh.keys() - severe)
    if severe:
        other_level = 0  # one ring for the battery is enough; what is less grave rings again after that
    again, (calling, messages) = app.alarm_repeats, _packets(app)
    return [
        Ask(EMERGENCY, Strokes.PACKET, news.calling.level(calling)),
        Ask("severe", Strokes.BATTERY, severe_level, again, repeat_seconds=None, anyway=True),
        Ask(TOO_LONG, Strokes.TOO_LONG, int(too_long), anyway=True),
        _call(state.identification.view(state.now(stamp)), state.identification.usual_interval_seconds),
        Ask("battery", Strokes.BATTERY, other_level, again, repeat_seconds=None),
        Ask("packet", Strokes.PACKET, messages, repeat_seconds=None),
    ]


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


def _packets(app: SessionApp) -> tuple[set[str], int]:
    """Who says "emergency", and how many messages to this station came so far if one was not seen."""
    if app.settings.modem is None:
        return set(), 0
    from fieldtui.screens.packet_bell import calling, messages_level  # noqa: PLC0415  (only with a modem)

    return set(calling(app.state.packets)), messages_level(app.state.packets)
