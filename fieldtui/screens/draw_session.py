"""Puts views into panes. Which pane changes when: once a second the times, on a key the read-back."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from fieldtui.entry.lines import BlankLine
from fieldtui.radio.units import count_of
from fieldtui.screens.draw import contacts as contact_drawing
from fieldtui.screens.draw.panes import (
    DEMO_WORDS,
    MARKS,
    PLAIN,
    STRONG,
    WEAK,
    battery_lines,
    clock_line,
    clock_lines,
    identification_lines,
)
from fieldtui.screens.draw.plan import plan_hints, plan_lines, tuned_line
from fieldtui.screens.draw.text import clip, shown
from fieldtui.screens.keys import key_line
from fieldtui.screens.panes import Lines
from fieldtui.screens.verdicts import channel_words, verdict_words
from fieldtui.screens.views import alarm_word, battery_view, clock_view, standing_alarm
from fieldtui.session.figures import figures
from fieldtui.session.identification import Need

if TYPE_CHECKING:
    from fieldtui.journal.stamp import Stamp
    from fieldtui.screens.app import SessionApp
    from fieldtui.screens.draw.panes import ClockView, Line

ALARM_MARKS = {"severe": "!!", "warning": "!", "notice": "!"}

NOT_READ = "the journal is not read yet"
"""Instead of the contacts: that there are none would be a guess."""

URGENCY = {Need.SOON: "-warn", Need.DUE: "-urgent", Need.OVERDUE: "-urgent", Need.SIGN_OFF: "-urgent"}


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
    """Whatever changes by itself: clock, identification, battery; and the bell."""
    stamp = app.settings.clock.now()
    fix, position = _position(app, stamp)
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
    _identification(app, app.state.now(stamp))
    _battery(app, stamp)
    if not app.message:
        message(app)


def _clock_with_fix(view: ClockView, width: int) -> str:
    from fieldtui.screens.draw.position_lines import clock_line_with_fix  # noqa: PLC0415  (only with a receiver)

    return clock_line_with_fix(view, width)


def _position(app: SessionApp, stamp: Stamp) -> tuple[str, list[Line]]:
    """What a position receiver says, in a word for the clock line and in lines for the clock pane."""
    feeds, fold = app.link.feeds, app.state.position
    if fold.fix is None and not fold.condition:
        return "", []
    from fieldtui.screens.draw.position_lines import (  # noqa: PLC0415  (only with a receiver)
        position_lines,
        position_view,
    )

    view = position_view(app.state, stamp, feeds.position if feeds else None)
    word = "no fix" if view.fix in ("", "no fix") or view.trouble else view.fix
    return word, position_lines(view, _pane(app, "clock-pane").room[0])


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
    fresh = sum(not alarm.acknowledged for alarm in app.state.power.alarms.values())
    if app.alarm_bell.rings(fresh, app.alarm_repeats):
        app.bell()


def _identification(app: SessionApp, now: float) -> None:
    fold = app.state.identification
    view = fold.view(now)
    pane = _pane(app, "identification")
    call = app.state.opened.station_call if app.state.opened else None
    mark = MARKS.get(view.need, "")
    pane.title(" ".join(part for part in ("give your call", shown(call, 12), mark) if part))
    lines = identification_lines(view, fold.rule.interval_seconds, *pane.room, app.settings.glyphs)
    pane.show(lines, urgency=URGENCY.get(view.need, ""))
    urgency = view.need.urgency if mark else 0
    if not app.ready:
        return  # of a journal that is half read nothing is reminded
    before = app.bell_state.urgency
    if before is not None and urgency > before:
        app.message = ""  # what was said before the reminder is old news, and would cover it
    if app.bell_state.rings(urgency, now):
        app.bell()


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
    words = verdict_words(app.state, app.settings.licence, app.settings.region)
    tally = count_of(len(app.state.contacts.standing()), "contact")
    channel = None if tuned.hertz is None else app.settings.plan.nearest(tuned.hertz)
    line.show([(tuned_line(tuned, channel, line.room[0], words, tally, keys=app.keys), STRONG)])
    if 0 in pane.room:
        return  # most screens have no room for the plan until it is opened, and it takes time to read
    against = partial(
        channel_words, state=app.state, licence=app.settings.licence, region=app.settings.region
    )
    wanted, keys = app.wanted_channel, app.keys
    pane.show(plan_lines(app.settings.plan, tuned, *pane.room, wanted=wanted, keys=keys, against=against))


def typing(app: SessionApp) -> None:
    """The read-back of the typed line."""
    pane = _pane(app, "read-back")
    if app.plan_open:
        pane.show([(clip(line, pane.room[0]), PLAIN) for line in plan_hints(app.keys)])
        tuning(app)
    elif isinstance(app.line, BlankLine):
        pane.show([])
    else:
        from fieldtui.screens.draw_typing import typed_lines  # noqa: PLC0415  (see `later`)

        pane.show(typed_lines(app, pane.room[0]))


def message(app: SessionApp) -> None:
    """One line: what was said last, or the reminder that waits for an answer."""
    pane = _pane(app, "message")
    asked = app.question.words if app.question else ""
    words = asked or app.message or (f"saving: {app.saving}" if app.saving else "") or _reminder(app)
    pane.show([(clip(shown(words, 512), pane.room[0]), STRONG)])


def _reminder(app: SessionApp) -> str:
    if not app.ready:
        return ""
    view = app.state.identification.view(app.state.now(app.settings.clock.now()))
    call_wanted = view.need in MARKS and not app.bell_state.answered
    alarm = standing_alarm(app.state)
    if alarm and (alarm.severity == "severe" or not call_wanted):
        seen = app.keys["dismiss"].capitalize()
        return f"{ALARM_MARKS.get(alarm.severity, '!')} {shown(alarm.words)} ({seen}: seen)"
    if not call_wanted:
        return _packet_news(app) or _closed(app)
    return f"{MARKS[view.need]} {view.words}: give your call, then press {app.keys['identify'].upper()}"


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

    news = packet_news(app.state.packets)
    return f"{news} ({app.keys['packets'].upper()} shows it)" if news else ""


def _pane(app: SessionApp, name: str) -> Lines:
    return app.screen_stack[0].query_one(f"#{name}", Lines)
