"""Puts views into panes. Which pane changes when: once a second the times, on a key the read-back."""

from __future__ import annotations

from collections.abc import Callable
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
from fieldtui.screens.draw.plan import plan_hints, plan_lines, tuned_lines
from fieldtui.screens.draw.rows import arranged, message_rows, most_message_rows
from fieldtui.screens.draw.text import clip, shown
from fieldtui.screens.keys import key_line, shown_key, shown_keys
from fieldtui.screens.parts.feed_line import FeedLine
from fieldtui.screens.parts.panes import Panes
from fieldtui.screens.parts.setup import Setup
from fieldtui.screens.views.marked_over import marked_now
from fieldtui.screens.views.panes import alarm_mark, alarm_word, battery_view, clock_view, standing_alarm
from fieldtui.screens.views.seen import Seen
from fieldtui.screens.views.typed import Typed
from fieldtui.screens.views.verdicts import channel_words, verdict_words
from fieldtui.session.channel_choice import ChannelChoice
from fieldtui.session.figures import figures

if TYPE_CHECKING:
    from fieldtui.screens.views.feed_troubles import Trouble

HINT = "a contact, or: help, quit"
LEAST_ROWS_FOR_KEYS = 7
LONGEST_SAID = 512
TUNED_ROWS = 2
"""Where the pane of what is tuned is as narrow as the left half of a large screen."""
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
        width, height = pane.room
        if not known:
            pane.show([(clip(NOT_READ, width), WEAK)])
            return
        rows = max(1, height - 1) if skip else height
        lines = contact_drawing.contact_lines(seen.state, width, rows, skip=skip, miles=miles)
        pane.show([*lines, *self._scrolled(skip, width)])

    def _scrolled(self, skip: int, width: int) -> list[Line]:
        """Small screens have no border for it: a list that was scrolled must not be taken for the newest."""
        older, newer = (shown_key(self._setup.keys[name]) for name in ("older", "newer"))
        words = f"{skip} newer above: {newer} goes back, {older} to older ones"
        return [(clip(words, width), STRONG)] if skip else []

    def tuning(self, seen: Seen, choice: Callable[[], ChannelChoice]) -> None:
        """What is tuned, and the plan, from which a channel may be chosen."""
        line, pane, state = self._panes["tuned"], self._panes["plan"], seen.state
        settings, keys, tuned = self._setup.settings, self._setup.keys, seen.state.tuning
        words = verdict_words(state, settings.licence)
        tally = count_of(len(state.contacts.standing()), "contact")
        channel = None if tuned.hertz is None else settings.plan_of(state).nearest(tuned.hertz)
        most = TUNED_ROWS if self._panes.marked("-wide") and self._panes.marked("-tall") else 1
        rows = tuned_lines(tuned, channel, line.room[0], most, words, tally=tally, keys=keys)
        line.show_whole([(row, STRONG) for row in rows])
        if 0 in pane.room:
            return  # most screens have no room for the plan until it is opened, and it takes time to read
        against = partial(channel_words, state=state, licence=settings.licence)
        pane.show(
            plan_lines(settings.plan_of(state), choice(), tuned, *pane.room, keys=keys, against=against)
        )

    def typing(self, seen: Seen, typed: Typed) -> str:
        """The read-back of the typed line; returns the doubt that had no room there, for the message."""
        pane = self._panes["read-back"]
        width, rows = pane.room
        if typed.choice is not None:
            pane.show([(clip(line, width), PLAIN) for line in plan_hints(self._setup.keys)])
            choice = typed.choice
            self.tuning(seen, lambda: choice)
            return ""
        if isinstance(typed.line, BlankLine):
            pane.show([])
            return ""
        from fieldtui.screens.draw.typing import typed_lines  # noqa: PLC0415  (see `later`)

        lines = typed_lines(typed.line, typed.past, seen.state, self._setup.settings, width, news=typed.news)
        drawn, unread = arranged(lines, width, rows)
        pane.show(drawn)
        return shown(unread, LONGEST_SAID)

    def message(self, words: str, unread: str) -> None:
        """What is said, and what the read-back had no room for. It grows over the end of the list of contacts: what
        stands below it stays where it is.
        """
        pane = self._panes["message"]
        told = (shown(words, LONGEST_SAID), unread)
        pane.show_whole(message_rows(told, pane.room[0], most_message_rows(self._panes.size.height), STRONG))

    def keys(self) -> None:
        """The keys, and in an empty entry line what to type; where there is no row for keys, the way out is there."""
        pane, keys = self._panes["keys"], self._setup.keys
        pane.display = self._panes.size.height >= LEAST_ROWS_FOR_KEYS
        pane.show([(key_line(keys, pane.room[0]), PLAIN)])
        if not self._setup.settings.watch:
            self._panes.entry.placeholder = HINT if pane.display else f"{shown_keys('leave', keys)} leaves"


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
