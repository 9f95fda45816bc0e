"""Questions in the message line, answered with one key."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from msgspec import Struct
from textual import events
from textual.app import App

Result = TypeVar("Result")


class Question(Struct, frozen=True):
    """Something to be answered with `y` or `n`; any other key means no, and still does what it does."""

    words: str
    on_yes: Callable[[], None]


class AskingApp(App[Result]):
    """A program that can ask, and whose messages stay until the next key."""

    message = ""
    question: Question | None = None

    def draw_message(self) -> None:
        """Show the message or the question; a program with a message line does more than this."""
        self.refresh()

    async def on_event(self, event: events.Event) -> None:
        """Every key passes here before anything acts on it: it ends a message and answers a question."""
        if isinstance(event, events.Key | events.Paste) and not event.is_forwarded and self._answers(event):
            return
        await super().on_event(event)

    def ask(self, words: str, on_yes: Callable[[], None]) -> None:
        """Ask in the message line; what is half typed stays where it is."""
        self.question = Question(words, on_yes)
        self.draw_message()

    def _answers(self, event: events.Key | events.Paste) -> bool:
        """Whether a question took this key. Enter and Escape say no and nothing else."""
        question, self.question = self.question, None
        if self.message or question:
            self.message = ""
            self.draw_message()
        if question is None or not isinstance(event, events.Key):
            return False
        if event.character in ("y", "Y"):
            question.on_yes()
            return True
        return event.key in ("enter", "escape") or event.character in ("n", "N")
