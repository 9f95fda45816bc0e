"""How far something is, in one line on standard error, for a person who waits longer than a second."""

from __future__ import annotations

import sys
import time
from types import TracebackType

PATIENCE_SECONDS = 1.0


class Progress:
    """Shows nothing where standard error is not a terminal, or when it is over soon; goes away at the end."""

    def __init__(self, words: str, total: int = 0) -> None:
        self._words, self._total, self._done = words, total, 0
        self._begun = time.monotonic()
        self._shown = ""

    def __enter__(self) -> Progress:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._shown:
            self._write("")

    def advance(self, more: int) -> None:
        """So many more of the total, such as bytes read."""
        self.show(self._done + more, self._total)

    def show(self, done: int, total: int, words: str = "") -> None:
        """So many of so many; `words` name another step of the work."""
        self._done = done
        line = f"{words or self._words}: {min(100, 100 * done // max(1, total))}%"
        waited = time.monotonic() - self._begun > PATIENCE_SECONDS
        if waited and line != self._shown and sys.stderr.isatty():
            self._write(line)

    def _write(self, line: str) -> None:
        self._shown = line
        sys.stderr.write(f"\r{line}\x1b[K")
        sys.stderr.flush()
