"""What the journal tells of the feeds: how each one was doing last, since when, and by whose word."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct, field

from fieldtui.journal.events import FeedChanged
from fieldtui.session.timeline import Moment

MOST_FEEDS = 16
"""Anybody may have written the journal."""
READ_BY_SOMEBODY = frozenset(("reading", "listening", "no_fix", "silent", "wrong_speed"))
"""Conditions of a feed whose port is open."""


class FeedSaid(Struct, frozen=True):
    """The last word on one feed."""

    feed: str
    url: str
    condition: str
    words: str
    moment: Moment
    """Since when it is so."""
    writer: str | None


class FeedsFold(Struct):
    """The last word on each feed. What was said before the session was last taken up tells of another day."""

    _said: dict[str, FeedSaid] = field(default_factory=dict)
    _begun: float = 0.0
    _closed: bool = False

    def on_begun(self, moment: Moment) -> None:
        """A screen opened or resumed the session: its feeds will say again how they do."""
        self._begun, self._closed = moment.seconds, False

    def on_closed(self) -> None:
        """Nobody waits for a feed any more."""
        self._closed = True

    def on_feed(self, event: FeedChanged, moment: Moment) -> bool:
        """A feed came, went or got into trouble; returns whether that is how it is doing now.

        A port that one screen reads is in use for every other screen: that is no news of the feed.
        """
        before = self._said.get(event.feed)
        if before is None and len(self._said) >= MOST_FEEDS:
            return False
        read = before is not None and before.condition in READ_BY_SOMEBODY and before.writer != event.writer
        if read and event.condition == "busy":
            return False
        same = before is not None and before.condition == event.condition
        if same and before is not None and before.moment.seconds >= self._begun:
            moment = before.moment
        self._said[event.feed] = FeedSaid(
            event.feed, event.url, event.condition, event.words, moment, event.writer
        )
        return True

    def said(self, feed: str) -> FeedSaid | None:
        """The last word on that feed, however old."""
        return self._said.get(feed)

    def standing(self) -> Iterator[FeedSaid]:
        """What was said of the feeds since the session was last taken up; nothing once it is closed."""
        if not self._closed:
            yield from (said for said in self._said.values() if said.moment.seconds >= self._begun)
