"""What stood on a screen when: somebody who looks at it five times a second and writes it down."""

from __future__ import annotations

import re
import threading
from collections.abc import Callable
from types import TracebackType
from typing import NamedTuple

from fieldtui.feeds.clock import boot_seconds

LOOK_SECONDS = 0.2


class Seen(NamedTuple):
    """A screen, and when it was first seen so, on the clock of the journal."""

    at: float
    text: str


class ScreenHistory:
    """Keeps each different screen; a context manager."""

    def __init__(self, look: Callable[[], str]) -> None:
        self.seen: list[Seen] = []
        self._look = look
        self._ended = threading.Event()
        self._thread = threading.Thread(target=self._run, name="onlooker", daemon=True)

    def _run(self) -> None:
        while not self._ended.wait(LOOK_SECONDS):
            text = self._look()
            if not self.seen or text != self.seen[-1].text:
                self.seen.append(Seen(boot_seconds(), text))

    def first(self, words: str, *, after: float = 0.0) -> float | None:
        """When a pattern first stood on the screen since a moment; None if it did not.

        What stood already at that moment counts as seen then.
        """
        for seen in self.since(after):
            if re.search(words, seen.text):
                return max(seen.at, after)
        return None

    def last(self, words: str) -> float | None:
        """When a pattern was last found on a screen that was new."""
        return next((seen.at for seen in reversed(self.seen) if re.search(words, seen.text)), None)

    def gone(self, words: str, *, after: float) -> float | None:
        """When a pattern was first missing from the screen since a moment."""
        for seen in self.since(after):
            if not re.search(words, seen.text):
                return max(seen.at, after)
        return None

    def at(self, moment: float) -> str:
        """The screen as it stood at a moment; empty before the first."""
        return next((seen.text for seen in reversed(self.seen) if seen.at <= moment), "")

    def since(self, after: float, before: float = float("inf")) -> list[Seen]:
        """Every screen that stood at a moment or later, until another."""
        begun = next(
            (index for index in range(len(self.seen) - 1, -1, -1) if self.seen[index].at <= after), 0
        )
        return [seen for seen in self.seen[begun:] if seen.at <= before]

    def __enter__(self) -> ScreenHistory:
        self._thread.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._ended.set()
        self._thread.join()
