"""Puts views into panes. Which pane changes when: once a second the times, on a key the read-back."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from msgspec.structs import replace

from fieldtui.entry.lines import BlankLine
from fieldtui.radio.units import count_of
from fieldtui.screens.draw import contacts as contact_drawing
from fieldtui.screens.draw.panes import (
    DEMO_WORDS,
    PLAIN,
    STRONG,
    WEAK,
    battery_lines,
    call_mark,
    clock_line,
    clock_lines,
    identification_lines,
)
from fieldtui.screens.draw.plan import plan_hints, plan_lines, tuned_line
from fieldtui.screens.draw.text import clip, shown
from fieldtui.screens.draw_feeds import feeds
from fieldtui.screens.keys import key_line
from fieldtui.screens.ringing import CALL, EMERGENCY, TOO_LONG, call_level, marked_now
from fieldtui.screens.views.panes import alarm_word, battery_view, clock_view, standing_alarm
from fieldtui.screens.views.verdicts import channel_words, verdict_words
from fieldtui.screens.widgets import Lines
from fieldtui.session.figures import figures

if TYPE_CHECKING:
    from fieldtui.journal.stamp import Stamp
    from fieldtui.screens.app import SessionApp
    from fieldtui.screens.draw.panes import ClockView, Line
    from fieldtui.screens.views.feed_troubles import Trouble
    from fieldtui.session.identification.demands import IdentificationView

ALARM_MARKS = {"severe": "!!", "warning": "!", "notice": "!"}

NOT_READ = "the journal is not read yet"
"""Instead of the contacts: that there are none would be a guess."""


def everything(app: SessionApp) -> None:
    """All panes."""
    times(app)
    contacts(app)
    tuning(app)
    typing(app)
    message(app)
    width, _ = _pane(app, "keys").room
    _pane(app, "keys").show([(key_line(app.keys, width), PLAIN)])


def times(app: SessionApp) -> None:
    """Whatever changes by itself: clock, feeds, identification, battery. It rings for nothing: `screens/ringing.py`."""
    stamp = clock(app)
    _identification(app, stamp)
    _battery(app, stamp)
    if not app.message:
        message(app)


def clock(app: SessionApp) -> Stamp:
    """The time, and what the feeds are silent about; returns the moment that is shown."""
    stamp = app.settings.clock.now()
    fix, position = _position(app, stamp, feeds(app))
    clock = clock_view(app.state, stamp, fix)
    line = _pane(app, "clock-line")
    closed = app.state.closed_moment is not None
    marks = ("CLOSED  " if closed else "") + ("DEMO  " if app.demo else "")
    width, _ = line.room
    words = _clock_with_fix(clock, width - len(marks)) if fix else clock_line(clock, width - len(marks))
    line.show([(clip(marks + words, width), PLAIN)])
    pane = _pane(app, "clock-pane")
    demo = f", {DEMO_WORDS}" if app.demo else ""
    pane.title(f"clock{demo}{', session CLOSED' if closed else ''}")
    app.screen_stack[0].set_class(bool(position), "-receiver")
    pane.show([*clock_lines(clock, pane.room[0]), *position])
    return stamp


def _clock_with_fix(view: ClockView, width: int) -> str:
    from fieldtui.screens.draw.position_lines import clock_line_with_fix  # noqa: PLC0415  (only with a receiver)

    return clock_line_with_fix(view, width)


def _position(app: SessionApp, stamp: Stamp, trouble: Trouble | None) -> tuple[str, list[Line]]:
    """What a position receiver says, in a word for the clock line and in lines for the clock pane."""
    own, fold = app.link.feeds, app.state.position
    if fold.fix is None and trouble is None:
        return "", []
    from fieldtui.screens.draw.position_lines import (  # noqa: PLC0415  (only with a receiver)
        position_lines,
        position_view,
    )

    view = position_view(app.state, stamp, own.position if own else None, trouble.brief if trouble else "")
    return view.word, position_lines(view, _pane(app, "clock-pane").room[0])


def _battery(app: SessionApp, stamp: Stamp) -> None:
    pane, settings = _pane(app, "battery"), app.settings
    view = battery_view(
        app.state, app.latest, stamp, has_shunt=settings.shunt is not None, pace=settings.pace
    )
    alarm = standing_alarm(app.state)
    mark = ALARM_MARKS.get(alarm.severity, "!") if alarm else ""
    pane.title(f"battery {mark}".strip())
    urgency = {"!!": "-urgent", "!": "-warn"}.get(mark, "-warn" if alarm_word(app.state) else "")
    pane.show(battery_lines(view, *pane.room, settings.glyphs), urgency=urgency)


def _identification(app: SessionApp, stamp: Stamp) -> None:
    fold, marked = app.state.identification, marked_now(app, stamp)
    view = fold.view(app.state.now(stamp))
    pane = _pane(app, "identification")
    call = app.state.opened.station_call if app.state.opened else None
    mark = call_mark(view)
    pane.title(" ".join(part for part in ("give your call", shown(call, 12), mark) if part))
    reason = marked.reason(app.keys["over"].upper()) if marked and marked.doubtful else view.reason
    view = replace(view, reason=reason)
    lines = identification_lines(view, fold.rule.interval_seconds, *pane.room, app.settings.glyphs)
    pane.show(lines, urgency={"!!": "-urgent", "!": "-warn"}.get(mark, ""))


def contacts(app: SessionApp) -> None:
    """The list."""
    pane = _pane(app, "contacts")
    width, height = pane.room
    told = figures(app.state, app.state.now(app.settings.clock.now()))
    words = contact_drawing.figures_words(told, miles=app.settings.miles)
    pane.title(f"contacts: {words}{f', {app.skip} newer above' if app.skip else ''}")
    if not (app.ready or app.link.begins_new):
        pane.show([(clip(NOT_READ, width), WEAK)])
        return
    lines = contact_drawing.contact_lines(app.state, width, height, skip=app.skip, miles=app.settings.miles)
    pane.show(lines)


def tuning(app: SessionApp) -> None:
    """What is tuned, and the plan."""
    line, pane, tuned = _pane(app, "tuned"), _pane(app, "plan"), app.state.tuning
    words = verdict_words(app.state, app.settings.licence)
    tally = count_of(len(app.state.contacts.standing()), "contact")
    channel = None if tuned.hertz is None else app.plan.nearest(tuned.hertz)
    line.show([(tuned_line(tuned, channel, line.room[0], words, tally, keys=app.keys), STRONG)])
    if 0 in pane.room:
        return  # most screens have no room for the plan until it is opened, and it takes time to read
    against = partial(channel_words, state=app.state, licence=app.settings.licence)
    wanted, keys = app.wanted_channel, app.keys
    pane.show(plan_lines(app.plan, tuned, *pane.room, wanted=wanted, keys=keys, against=against))


def typing(app: SessionApp) -> None:
    """The read-back of the typed line."""
    pane = _pane(app, "read-back")
    if app.plan_open:
        pane.show([(clip(line, pane.room[0]), PLAIN) for line in plan_hints(app.keys)])
        tuning(app)
    elif isinstance(app.line, BlankLine):
        pane.show([])
    else:
        from fieldtui.screens.draw.typing import typed_lines  # noqa: PLC0415  (see `later`)

        pane.show(typed_lines(app, pane.room[0]))


def message(app: SessionApp) -> None:
    """One line: what was said last, or the reminder that waits for an answer."""
    pane = _pane(app, "message")
    asked = app.question.words if app.question else ""
    words = asked or app.message or (f"saving: {app.saving}" if app.saving else "") or _reminder(app)
    pane.show([(clip(shown(words, 512), pane.room[0]), STRONG)])


def _reminder(app: SessionApp) -> str:
    """What waits for the operator, the most urgent first; what was answered makes room for the next."""
    if not app.ready:
        return ""
    stamp = app.settings.clock.now()
    view, marked = app.state.identification.view(app.state.now(stamp)), marked_now(app, stamp)
    level = call_level(view)
    call_wanted = level > 0 and not app.bells.answered(CALL, level)
    alarm = standing_alarm(app.state)
    seen = app.keys["dismiss"].capitalize()
    alarm_words = (
        f"{ALARM_MARKS.get(alarm.severity, '!')} {shown(alarm.words)} ({seen}: seen)" if alarm else ""
    )
    if alarm and alarm.severity == "severe":
        return alarm_words
    if app.bells.calls(EMERGENCY):
        return _packet_news(app)
    if marked and marked.long and not app.bells.answered(TOO_LONG, 1):
        # A wrong key: it keeps the count of the call going as well, so it is to be put right first.
        return f"!! {marked.words(app.keys['over'].upper())}"
    if call_wanted:
        return _call_words(app, view)
    doubt = marked.words(app.keys["over"].upper()) if marked and marked.unseen and not marked.long else ""
    return alarm_words or doubt or _packet_news(app) or _closed(app)


def _call_words(app: SessionApp, view: IdentificationView) -> str:
    what = f"give your call, then press {app.keys['identify'].upper()}"
    if view.own_call:
        what = f"give {shown(view.own_call, 12)} too, then type: id {shown(view.own_call, 12)}"
    return f"{call_mark(view)} {view.words}: {what}"


def _closed(app: SessionApp) -> str:
    """What is left to do after the close: nobody may remember the key."""
    if app.state.closed_moment is None:
        return ""
    return f"session closed: {app.keys['leave'].upper()} leaves the screen"


def _packet_news(app: SessionApp) -> str:
    """A message that came by packet, until it was seen on the page of packets."""
    if app.settings.modem is None:
        return ""
    from fieldtui.screens.packet_bell import packet_news  # noqa: PLC0415  (only with a modem)

    news = packet_news(app.state.packets, app.state.now(app.settings.clock.now()))
    return f"{news} ({app.keys['packets'].upper()} shows it)" if news else ""


def _pane(app: SessionApp, name: str) -> Lines:
    return app.screen_stack[0].query_one(f"#{name}", Lines)
