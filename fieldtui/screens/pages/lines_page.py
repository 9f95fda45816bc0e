"""A page of lines that scrolls when it is longer than the screen, and says so in its last row."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from textual import events
from textual.app import ComposeResult
from textual.containers import Container

from fieldtui.screens.draw.paged import footer, steps_of, window
from fieldtui.screens.draw.panes import PLAIN, STRONG, Line
from fieldtui.screens.draw.text import rows_of
from fieldtui.screens.pages.base import GlancePage, LivePage
from fieldtui.screens.widgets import Lines

if TYPE_CHECKING:
    from fieldtui.screens.parts.desk import Desk


_MOST_SAID = 4


class LinesPage(LivePage):
    """What stands on it comes from `page_lines`, what its keys do from `key_words`; arrows and page keys scroll."""

    AUTO_FOCUS = ""

    def __init__(self, session: Desk) -> None:
        super().__init__(demo=session.demo)
        self.session = session
        self._first = 0

    def contents(self) -> ComposeResult:
        """The page, and the line of keys."""
        with Container():
            for name, height in (("page-lines", "1fr"), ("page-keys", "1")):
                pane = Lines(id=name)
                pane.glyphs = self.session.setup.settings.glyphs
                # The program's style sheet, where a pane is one line high, wins over the sheet of a screen.
                pane.styles.height = height
                yield pane

    def page_lines(self, width: int, rows: int) -> Sequence[Line]:
        """The whole page for a width; `rows` of it are seen at once. Nothing until a page says what."""
        del width, rows
        return ()

    def key_words(self) -> str:
        """What the keys do."""
        return ""

    def said(self) -> str:
        """What stands above the keys, in as many rows as it takes."""
        return ""

    def draw(self) -> None:
        """The rows that are seen."""
        pane, keys = self.query_one("#page-lines", Lines), self.query_one("#page-keys", Lines)
        width, rows = pane.room
        said = rows_of(self.said(), width, _MOST_SAID)
        # The room is that of the drawing before: what is said takes its rows from the page.
        rows -= len(said) + 1 - keys.room[1]
        lines = self.page_lines(width, rows)
        self._first, seen = window(lines, self._first, rows)
        pane.show(seen)
        words = footer(self.key_words(), self._first, rows, len(lines), width)
        keys.show_whole([*((row, PLAIN) for row in said), (words, STRONG)])

    @property
    def rows(self) -> int:
        """How many rows are seen at once."""
        return self.query_one("#page-lines", Lines).room[1]

    def scroll_by_key(self, key: str) -> bool:
        """Move as a key says; returns whether it is one that moves."""
        steps = steps_of(key, self.rows)
        if steps is not None:
            self._first += steps
            self.draw()
        return steps is not None

    def show_row(self, row: int) -> None:
        """Have one row of the page in sight at the next drawing."""
        self._first = min(max(self._first, row - self.rows + 1), row)


class GlanceLinesPage(GlancePage, LinesPage):
    """A page of lines that any key closes but those that scroll."""

    OWN_KEYS = frozenset({"up", "down", "pageup", "pagedown", "home", "end"})

    def on_key(self, event: events.Key) -> None:
        """What is not a key of the page has closed it before it came here."""
        event.stop()
        event.prevent_default()
        self.scroll_by_key(event.key)

    def key_words(self) -> str:
        """Any key goes back."""
        return "any other key goes back"
