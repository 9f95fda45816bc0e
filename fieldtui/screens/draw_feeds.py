"""Where it is said that a feed is silent: one line above the message on every size of screen, and the pages."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fieldtui.live.ports import RECEIVER
from fieldtui.screens.draw.panes import PLAIN, STRONG
from fieldtui.screens.views.feed_troubles import (
    FeedNews,
    Trouble,
    feed_news,
    modem_line,
    trouble_lines,
    troubles_of,
)
from fieldtui.screens.widgets import Lines

if TYPE_CHECKING:
    from fieldtui.screens.app import SessionApp
    from fieldtui.screens.journal_app import JournalApp

TALL_ROWS = 34
"""From here on there is a row for each trouble; on smaller screens they take turns in one."""
MOST_ROWS = 4
LEAST_ROWS = 6
"""With fewer, the line takes the place of the clock: the two numbers and the entry line stay."""


def news_of(session: JournalApp) -> list[FeedNews]:
    """How every feed is doing at this moment; nothing while the journal is not read."""
    if not session.ready:
        return []
    stamp, feeds = session.settings.clock.now(), session.link.feeds
    own = feeds.states if feeds else []
    return feed_news(own, session.state, stamp.mono_seconds, session.state.now(stamp))


def troubles(session: JournalApp) -> list[Trouble]:
    """The feeds that are named and tell nothing, the worst first."""
    return troubles_of(news_of(session), pace=session.settings.pace)


def feeds(app: SessionApp) -> Trouble | None:
    """Draw the line; returns the trouble of the position receiver, if it has one."""
    found = troubles(app)
    pane, screen = app.screen_stack[0].query_one("#feeds", Lines), app.screen_stack[0]
    rows = MOST_ROWS if app.size.height >= TALL_ROWS else 1
    lines = trouble_lines(found, app.size.width, rows, app.settings.clock.now().mono_seconds)
    screen.set_class(bool(lines) and app.size.height < LEAST_ROWS, "-feeds-for-clock")
    if len(lines) != app.feed_rows:
        # Each change lays the whole screen out again: not every second for nothing.
        app.feed_rows = len(lines)
        pane.set_class(bool(lines), "-shown")
        pane.styles.height = max(1, len(lines))
    pane.show([(text, PLAIN if mild else STRONG) for text, mild in lines])
    return next((each for each in found if each.feed == RECEIVER), None)


def modem(session: JournalApp, width: int) -> str:
    """How the modem is doing, for the page of packets: what is not named is told of by nobody."""
    if not session.ready:
        return "the journal is not read yet"
    now = session.state.now(session.settings.clock.now())
    newest = next(session.state.packets.newest(), None)
    last = None if newest is None else now - newest.moment.seconds
    return modem_line(news_of(session), width, last)
