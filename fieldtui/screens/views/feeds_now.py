"""How the feeds are doing at this moment: for the line above the message, and for the pages. Pure."""

from __future__ import annotations

from fieldtui.screens.views.feed_troubles import FeedNews, Trouble, feed_news, modem_line, troubles_of
from fieldtui.screens.views.seen import Seen


def news_of(seen: Seen) -> list[FeedNews]:
    """Every feed, those of this screen and those that only the journal tells of; none while it is not read."""
    if not seen.ready:
        return []
    return feed_news(seen.feeds, seen.state, seen.stamp.mono_seconds, seen.now)


def troubles(seen: Seen, *, pace: float) -> list[Trouble]:
    """The feeds that are named and tell nothing, the worst first."""
    return troubles_of(news_of(seen), pace=pace)


def modem(seen: Seen, width: int) -> str:
    """How the modem is doing, for the page of packets: what is not named is told of by nobody."""
    if not seen.ready:
        return "the journal is not read yet"
    newest = next(seen.state.packets.newest(), None)
    last = None if newest is None else seen.now - newest.moment.seconds
    return modem_line(news_of(seen), width, last)
