"""The line that always has the focus: typing is logging."""

from __future__ import annotations

from textual import events
from textual.binding import Binding

from fieldtui.entry.text import clean_text
from fieldtui.screens.pages.glance import goes_on
from fieldtui.screens.widgets.ordered_input import OrderedInput

MOST_HISTORY = 200


class EntryLine(OrderedInput):
    """An input without a blinking cursor, with a history, that loses nothing that is typed or pasted."""

    BINDINGS = [
        Binding("up", "earlier", show=False),
        Binding("down", "later", show=False),
    ]

    def __init__(self) -> None:
        super().__init__(id="entry")
        self._history: list[str] = []
        self._place = 0
        self._edited: dict[int, str] = {}
        """What stands at places of the history that were left with the arrows, the unfinished line among them."""
        self._refused = False
        """Whether all of the text was refused, and is marked: what is typed next takes its place."""

    def refuse(self) -> None:
        """The text stays, marked: a letter or a figure begins anew, a blank or any other key goes on with it."""
        self.remember(self.value)
        self.select_all()
        self._refused = True

    async def _act(self, event: events.Key) -> bool:
        """As the class above; a key that edits edits what was refused, and does not delete it whole."""
        refused, self._refused = self._refused, False
        if refused and (not event.is_printable or event.character == " "):
            self.cursor_position = len(self.value)
        return await super()._act(event)

    async def _on_key(self, event: events.Key) -> None:
        """A key that came right behind the one that opened a page is here already: it closes the page all the same."""
        if not goes_on(self.app, event):
            event.stop()
            event.prevent_default()

    def _on_paste(self, event: events.Paste) -> None:
        """Take it, unless it has to wait."""
        if not self.holds:
            event.stop()
            event.prevent_default()
            self.insert_text_at_cursor(self.cleaned(event.text))

    def cleaned(self, text: str) -> str:
        """All of a paste, its lines joined; what must not reach a terminal becomes visible."""
        return clean_text(text, len(text))

    def take(self) -> str:
        """The typed text; the line is empty afterwards, and the text can be had again with Up."""
        text, unfinished = self.value, self._edited.get(len(self._history), "")
        if self._place < len(self._history):
            self.remember(unfinished)
        self.remember(text)
        self.value = ""
        return text

    def remember(self, text: str) -> None:
        """Put a text where Up finds it."""
        if text.strip() and (not self._history or self._history[-1] != text):
            self._history.append(text)
            del self._history[:-MOST_HISTORY]
        self._place = len(self._history)
        self._edited.clear()

    def put(self, text: str) -> None:
        """Show a text with the cursor behind it."""
        self.value = text
        self.cursor_position = len(text)

    def action_earlier(self) -> None:
        """The line typed before; what is half typed comes back with Down."""
        self._go(self._place - 1)

    def action_later(self) -> None:
        """Back towards what was being typed."""
        self._go(self._place + 1)

    def _go(self, place: int) -> None:
        if 0 <= place <= len(self._history):
            self._edited[self._place] = self.value
            self._place = place
            there = self._history[place] if place < len(self._history) else ""
            self.put(self._edited.get(place, there))
