"""Where it is said that a feed is silent: one line above the message on every size of screen."""

from __future__ import annotations

from fieldtui.live.ports import RECEIVER
from fieldtui.screens.draw.panes import PLAIN, STRONG
from fieldtui.screens.parts.panes import Panes
from fieldtui.screens.views.feed_troubles import Trouble, trouble_lines
from fieldtui.screens.views.feeds_now import troubles
from fieldtui.screens.views.seen import Seen

TALL_ROWS = 34
"""From here on there is a row for each trouble; on smaller screens they take turns in one."""
MOST_ROWS = 4
LEAST_ROWS = 6
"""With fewer, the line takes the place of the clock: the two numbers and the entry line stay."""


class FeedLine:
    """The pane of feeds, which is there while one of them is silent."""

    def __init__(self, panes: Panes) -> None:
        self._panes = panes
        self._rows = 0

    def show(self, seen: Seen, *, pace: float) -> Trouble | None:
        """Draw it; returns the trouble of the position receiver, if it has one."""
        found, (width, height) = troubles(seen, pace=pace), self._panes.size
        rows = MOST_ROWS if height >= TALL_ROWS else 1
        lines = trouble_lines(found, width, rows, seen.stamp.mono_seconds)
        self._panes.mark("-feeds-for-clock", on=bool(lines) and height < LEAST_ROWS)
        self._make_room(len(lines))
        self._panes["feeds"].show([(text, PLAIN if mild else STRONG) for text, mild in lines])
        return next((each for each in found if each.feed == RECEIVER), None)

    def _make_room(self, rows: int) -> None:
        if rows != self._rows:
            # Each change lays the whole screen out again: not every second for nothing.
            self._rows = rows
            pane = self._panes["feeds"]
            pane.set_class(bool(rows), "-shown")
            pane.styles.height = max(1, rows)
