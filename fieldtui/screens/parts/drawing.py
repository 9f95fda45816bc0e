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
    ClockView,
    Line,
    battery_lines,
    call_mark,
    clock_line,
    clock_lines,
    identification_lines,
)
from fieldtui.screens.draw.plan import plan_hints, plan_lines, tuned_line
from fieldtui.screens.draw.text import clip, shown
from fieldtui.screens.keys import key_line
from fieldtui.screens.parts.feed_line import FeedLine
from fieldtui.screens.parts.panes import Panes
from fieldtui.screens.parts.setup import Setup
from fieldtui.screens.views.marked_over import marked_now
from fieldtui.screens.views.panes import alarm_mark, alarm_word, battery_view, clock_view, standing_alarm
from fieldtui.screens.views.seen import Seen
from fieldtui.screens.views.typed import Typed
from fieldtui.screens.views.verdicts import channel_words, verdict_words
from fieldtui.session.figures import figures

if TYPE_CHECKING:
    from fieldtui.screens.views.feed_troubles import Trouble

URGENCY = {"!!": "-urgent", "!": "-warn"}
NOT_READ = "the journal is not read yet"
"""Instead of the contacts: that there are none would be a guess."""


class Drawing:
    """Draws what it is given; each pane repaints only what changed. It rings for nothing: see `Ringing`."""

    def __init__(self, panes: Panes, setup: Setup) -> None:
        self._panes, self._setup = panes, setup
        self._feed_line = FeedLine(panes)

    def times(self, seen: Seen) -> None:
        """Whatever changes by itself: clock, feeds, identification, battery."""
        self.clock(seen)
        self._identification(seen)
        self._battery(seen)

    def clock(self, seen: Seen) -> None:
        """The time, and what the feeds are silent about."""
        trouble = self._feed_line.show(seen, pace=self._setup.settings.pace)
        line, pane = self._panes["clock-line"], self._panes["clock-pane"]
        fix, position = _position(seen, trouble, pane.room[0])
        view, closed = clock_view(seen.state, seen.stamp, fix), seen.state.closed_moment is not None
        marks = ("CLOSED  " if closed else "") + ("DEMO  " if seen.demo else "")
        width = line.room[0] - len(marks)
        words = _clock_with_fix(view, width) if fix else clock_line(view, width)
        line.show([(clip(marks + words, line.room[0]), PLAIN)])
        demo = f", {DEMO_WORDS}" if seen.demo else ""
        pane.title(f"clock{demo}{', session CLOSED' if closed else ''}")
        self._panes.mark("-receiver", on=bool(position))
        pane.show([*clock_lines(view, pane.room[0]), *position])

    def _battery(self, seen: Seen) -> None:
        pane, settings, state = self._panes["battery"], self._setup.settings, seen.state
        has_shunt = settings.shunt is not None
        view = battery_view(state, seen.latest, seen.stamp, has_shunt=has_shunt, pace=settings.pace)
        alarm = standing_alarm(state)
        mark = alarm_mark(alarm) if alarm else ""
        pane.title(f"battery {mark}".strip())
        urgency = URGENCY.get(mark, "-warn" if alarm_word(state) else "")
        pane.show(battery_lines(view, *pane.room, settings.glyphs), urgency=urgency)

    def _identification(self, seen: Seen) -> None:
        pane, setup, state = self._panes["identification"], self._setup, seen.state
        marked = marked_now(seen, setup.settings.long_over_seconds)
        view = state.identification.view(seen.now)
        call = state.opened.station_call if state.opened else None
        mark = call_mark(view)
        pane.title(" ".join(part for part in ("give your call", shown(call, 12), mark) if part))
        reason = marked.reason(setup.keys["over"].upper()) if marked and marked.doubtful else view.reason
        interval = state.identification.rule.interval_seconds
        lines = identification_lines(
            replace(view, reason=reason), interval, *pane.room, setup.settings.glyphs
        )
        pane.show(lines, urgency=URGENCY.get(mark, ""))

    def contacts(self, seen: Seen, *, skip: int, known: bool) -> None:
        """The list, without so many newer ones; `known`: whether the contacts of the session are known yet."""
        pane, miles = self._panes["contacts"], self._setup.settings.miles
        words = contact_drawing.figures_words(figures(seen.state, seen.now), miles=miles)
        pane.title(f"contacts: {words}{f', {skip} newer above' if skip else ''}")
        if known:
            pane.show(contact_drawing.contact_lines(seen.state, *pane.room, skip=skip, miles=miles))
        else:
            pane.show([(clip(NOT_READ, pane.room[0]), WEAK)])

    def tuning(self, seen: Seen, wanted: str | None) -> None:
        """What is tuned, and the plan, in which a channel may be wanted."""
        line, pane, state = self._panes["tuned"], self._panes["plan"], seen.state
        settings, keys, tuned = self._setup.settings, self._setup.keys, seen.state.tuning
        words = verdict_words(state, settings.licence)
        tally = count_of(len(state.contacts.standing()), "contact")
        channel = None if tuned.hertz is None else settings.plan_of(state).nearest(tuned.hertz)
        line.show([(tuned_line(tuned, channel, line.room[0], words, tally, keys=keys), STRONG)])
        if 0 in pane.room:
            return  # most screens have no room for the plan until it is opened, and it takes time to read
        against = partial(channel_words, state=state, licence=settings.licence)
        plan = settings.plan_of(state)
        pane.show(plan_lines(plan, tuned, *pane.room, wanted=wanted, keys=keys, against=against))

    def typing(self, seen: Seen, typed: Typed) -> None:
        """The read-back of the typed line."""
        pane = self._panes["read-back"]
        width = pane.room[0]
        if typed.choosing:
            pane.show([(clip(line, width), PLAIN) for line in plan_hints(self._setup.keys)])
            self.tuning(seen, typed.wanted)
        elif isinstance(typed.line, BlankLine):
            pane.show([])
        else:
            from fieldtui.screens.draw.typing import typed_lines  # noqa: PLC0415  (see `later`)

            pane.show(
                typed_lines(typed.line, typed.past, seen.state, self._setup.settings, width, news=typed.news)
            )

    def message(self, words: str) -> None:
        """One line."""
        pane = self._panes["message"]
        pane.show([(clip(shown(words, 512), pane.room[0]), STRONG)])

    def keys(self) -> None:
        """As many keys as there is room for."""
        pane = self._panes["keys"]
        pane.show([(key_line(self._setup.keys, pane.room[0]), PLAIN)])


def _clock_with_fix(view: ClockView, width: int) -> str:
    from fieldtui.screens.draw.position_lines import clock_line_with_fix  # noqa: PLC0415  (only with a receiver)

    return clock_line_with_fix(view, width)


def _position(seen: Seen, trouble: Trouble | None, width: int) -> tuple[str, list[Line]]:
    """What a position receiver says, in a word for the clock line and in lines for the clock pane."""
    if seen.state.position.fix is None and trouble is None:
        return "", []
    from fieldtui.screens.draw.position_lines import (  # noqa: PLC0415  (only with a receiver)
        position_lines,
        position_view,
    )

    view = position_view(seen.state, seen.stamp, seen.position, trouble.brief if trouble else "")
    return view.word, position_lines(view, width)
