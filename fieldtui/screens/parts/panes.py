"""The panes of the session screen. The style sheet places them by the size of the terminal."""

from __future__ import annotations

from collections.abc import Callable

from textual.app import ComposeResult
from textual.containers import Container
from textual.content import Content
from textual.geometry import Size
from textual.widgets import Static

from fieldtui.screens.draw.glyphs import Glyphs
from fieldtui.screens.widgets import Lines
from fieldtui.screens.widgets.entry_line import EntryLine

TITLES = {
    "clock-line": "",
    "clock-pane": "clock",
    "identification": "give your call",
    "battery": "battery",
    "tuned": "",
    "plan": "channels",
    "contacts": "contacts",
    "feeds": "",
    "message": "",
    "read-back": "",
    "keys": "",
}


class Panes:
    """Every pane by its name, the entry line, and the top line that is there while saving fails."""

    def __init__(self, glyphs: Glyphs) -> None:
        self.entry = EntryLine()
        self._alert = Static("", id="alert", markup=False)
        self._alerted = ""
        self._lines = {name: Lines(id=name, title=title) for name, title in TITLES.items()}
        for pane in self._lines.values():
            pane.glyphs = glyphs

    def before_paint(self, do: Callable[[], None]) -> None:
        """Have this done once all panes know their room, before each is painted for the first time."""
        for pane in self._lines.values():
            pane.before_paint = do

    def __getitem__(self, name: str) -> Lines:
        """The pane of this name, also while a page covers it."""
        return self._lines[name]

    def compose(self) -> ComposeResult:
        """All of them at once."""
        yield self._alert
        yield self["clock-line"]
        with Container(id="body"):
            with Container(id="left"):
                yield self["clock-pane"]
                with Container(id="numbers"):
                    yield self["identification"]
                    yield self["battery"]
                yield self["tuned"]
                yield self["plan"]
            yield self["contacts"]
        yield self["feeds"]
        yield self["message"]
        with Container(id="entry-row"):
            yield Static("> ", id="prompt", markup=False)
            yield self.entry
        yield self["read-back"]
        yield self["keys"]

    @property
    def size(self) -> Size:
        """Of the terminal, in cells."""
        return self.entry.app.size

    def mark(self, name: str, *, on: bool) -> None:
        """Set a class of the whole screen that the style sheet knows, or take it away."""
        self.entry.screen.set_class(on, name)

    def alert(self, words: str) -> None:
        """Show the top line, or take it away."""
        if words != self._alerted:
            # Each update lays the whole screen out again: not every second for nothing.
            self._alerted = words
            self._alert.set_class(bool(words), "-shown")
            self._alert.update(Content(words))
