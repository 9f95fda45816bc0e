"""A pane of finished lines."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import takewhile, zip_longest

from rich.cells import cell_len
from textual.content import Content
from textual.geometry import Region
from textual.message import Message
from textual.widget import Widget

from fieldtui.entry.text import clean_text
from fieldtui.screens.draw.glyphs import UNICODE, Glyphs
from fieldtui.screens.draw.panes import PLAIN, WEAK, Line
from fieldtui.screens.theme_names import NIGHT

MOST_CHARACTERS = 2000


class Lines(Widget):
    """Shows lines of plain text, each in one style; repaints only the cells that changed.

    Text is never read as markup, and nothing in it acts on the terminal.
    """

    class Resized(Message):
        """There is another room for lines; what was drawn for the old one does not fit."""

    glyphs: Glyphs = UNICODE
    """What the terminal's font has."""
    before_paint: Callable[[], None] | None = None
    """Called once, before it is painted for the first time, when all panes know their room: it may `show` at once
    what would else be painted after a blank."""

    def __init__(self, *, id: str, title: str = "") -> None:  # noqa: A002  (Textual's own word)
        super().__init__(id=id, markup=False)
        self._lines: tuple[Line, ...] = ()
        self._given: tuple[Line, ...] | None = None
        """What it was last asked to show: cleaning the same lines once a second would be work for nothing."""
        self._theme = ""
        self._title = ""
        self._urgency = ""
        self._content = Content("")
        self._painted = False
        if title:
            self.title(title)

    def render(self) -> Content:
        """What was shown last."""
        if not self._painted:
            self._painted = True
            if self.before_paint:
                self.before_paint()
        return self._content

    @property
    def lines(self) -> tuple[Line, ...]:
        """What it shows, cleaned; also where there is no room for all of it."""
        return self._lines

    def title(self, text: str) -> None:
        """Words in the border."""
        if self._title != text:
            self._title = text
            self.border_title = Content(self._drawn(text))

    def show(self, lines: Sequence[Line], *, urgency: str = "") -> None:
        """Draw these lines; `urgency` is a class that the style sheet knows."""
        if urgency != self._urgency:
            self.remove_class(self._urgency) if self._urgency else None
            self._urgency = urgency
            if urgency:
                self.add_class(urgency)
        given = tuple(lines)
        if given == self._given and self._theme == self.app.theme:
            return
        self._given, self._theme = given, self.app.theme
        drawn = tuple((self._drawn(text), self._style(style)) for text, style in given)
        if drawn != self._lines:
            before, self._lines = self._lines, drawn
            self._content = Content("\n").join(Content.styled(text, style) for text, style in drawn)
            if self._painted:
                self.refresh(*_changed(before, drawn, self.content_size.width))

    def show_whole(self, lines: Sequence[Line]) -> None:
        """Draw these lines in a pane that is as high as they are, one row at least; the layout follows."""
        height, stands = max(1, len(lines)), self.styles.height
        if stands is None or stands.value != height:
            self.styles.height = height
        self.show(lines)

    def _drawn(self, text: str) -> str:
        """The last door before the terminal: no control character passes, wherever the text came from."""
        return self.glyphs.drawn(clean_text(text, MOST_CHARACTERS))

    def _style(self, style: str) -> str:
        """Red on black has no contrast to give away: dimmed as usual, 2 to 1 would be left of it."""
        return PLAIN if style == WEAK and self.app.theme == NIGHT else style

    def on_resize(self) -> None:
        """Only now is the new room known: the terminal's own change of size comes before the layout."""
        self.post_message(self.Resized())

    @property
    def room(self) -> tuple[int, int]:
        """Cells and rows inside the border."""
        return self.content_size.width, self.content_size.height


def _changed(before: Sequence[Line], after: Sequence[Line], width: int) -> Iterator[Region]:
    """The cells that differ, one span a row: a clock that ticks is a few bytes, over a slow link too."""
    nothing: Line = ("", "")
    for row, (old, new) in enumerate(zip_longest(before, after, fillvalue=nothing)):
        if old[1] != new[1]:
            yield Region(0, row, max(width, 1), 1)
        elif old != new:
            yield _span(old[0], new[0], row)


def _span(old: str, new: str, row: int) -> Region:
    """From the first cell that differs to the last; to the end if what follows has moved."""
    start = _alike(old, new)
    end = max(cell_len(old), cell_len(new))
    if cell_len(old) == cell_len(new):
        kept = _alike(old[start:][::-1], new[start:][::-1])
        end -= cell_len(new[len(new) - kept :])
    left = cell_len(new[:start])
    return Region(left, row, max(end - left, 1), 1)


def _alike(one: str, other: str) -> int:
    """With how many equal characters both begin."""
    return sum(1 for _ in takewhile(lambda pair: pair[0] == pair[1], zip(one, other, strict=False)))
