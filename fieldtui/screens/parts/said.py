"""What stands in the message line: what was said last, a question, what is on its way to the disk."""

from __future__ import annotations

from collections.abc import Callable

from msgspec import Struct
from textual import events


class Question(Struct, frozen=True):
    """Something to be answered with `y` or `n`; any other key means no, and still does what it does."""

    words: str
    on_yes: Callable[[], None]


class Said:
    """What is said stays until the next key. `changed` draws the message line."""

    def __init__(self, changed: Callable[[], None]) -> None:
        self.message = ""
        self.saving = ""
        """What is on its way to the disk."""
        self._question: Question | None = None
        self._changed = changed

    @property
    def words(self) -> str:
        """What is to be shown now; empty if there is room for a reminder."""
        asked = self._question.words if self._question else ""
        return asked or self.message or (f"saving: {self.saving}" if self.saving else "")

    def say(self, words: str) -> None:
        """Show these words until the next key; none clears the line."""
        self.message = words
        self._changed()

    def ask(self, words: str, on_yes: Callable[[], None]) -> None:
        """Ask in the message line; what is half typed stays where it is."""
        self._question = Question(words, on_yes)
        self._changed()

    def takes(self, event: events.Key | events.Paste) -> bool:
        """Any key ends a message. Whether a question took this one: Enter and Escape say no and nothing else."""
        question, self._question = self._question, None
        if self.message or question:
            self.say("")
        if question is None or not isinstance(event, events.Key):
            return False
        if event.character in ("y", "Y"):
            question.on_yes()
            return True
        return event.key in ("enter", "escape") or event.character in ("n", "N")
