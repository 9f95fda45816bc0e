"""A pane of finished lines."""

from __future__ import annotations

from collections.abc import Sequence

from textual.content import Content
from textual.message import Message
from textual.widgets import Static

from fieldtui.entry.text import clean_text
from fieldtui.screens.draw.glyphs import UNICODE, Glyphs
from fieldtui.screens.draw.panes import Line

MOST_CHARACTERS = 2000


class Lines(Static):
    """Shows lines of plain text, each in one style; repaints only when one of them changed.

    Text is never read as markup, and nothing in it acts on the terminal.
    """

    class Resized(Message):
        """There is another room for lines; what was drawn for the old one does not fit."""

    glyphs: Glyphs = UNICODE
    """What the terminal's font has."""

    def __init__(self, *, id: str, title: str = "") -> None:  # noqa: A002  (Textual's own word)
        super().__init__("", id=id, markup=False)
        self._lines: tuple[Line, ...] = ()
        self._urgency = ""
        if title:
            self.title(title)

    def title(self, text: str) -> None:
        """Words in the border."""
        if self.border_title != text:
            self.border_title = Content(self._drawn(text))

    def show(self, lines: Sequence[Line], *, urgency: str = "") -> None:
        """Draw these lines; `urgency` is a class that the style sheet knows."""
        if urgency != self._urgency:
            self.remove_class(self._urgency) if self._urgency else None
            self._urgency = urgency
            if urgency:
                self.add_class(urgency)
        if tuple(lines) != self._lines:
            self._lines = tuple(lines)
            parts: list[Content] = [Content.styled(self._drawn(text), style) for text, style in self._lines]
            self.update(Content("\n").join(parts), layout=False)

    def _drawn(self, text: str) -> str:
        """The last door before the terminal: no control character passes, wherever the text came from."""
        return self.glyphs.drawn(clean_text(text, MOST_CHARACTERS))

    def on_resize(self) -> None:
        """Only now is the new room known: the terminal's own change of size comes before the layout."""
        self.post_message(self.Resized())

    @property
    def room(self) -> tuple[int, int]:
        """Cells and rows inside the border."""
        return self.content_size.width, self.content_size.height
