"""A bar on standard error while journals are read, for a person who waits longer than a second."""

from __future__ import annotations

import sys
import time
from types import TracebackType
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rich.progress import Progress, TaskID

PATIENCE_SECONDS = 1.0


class ReadingProgress:
    """Shows nothing where standard error is no terminal, or when it is over soon."""

    def __init__(self, words: str, total_bytes: int) -> None:
        self._words, self._total, self._done = words, max(1, total_bytes), 0
        self._begun = time.monotonic()
        self._bar: Progress | None = None
        self._task: TaskID | None = None

    def __enter__(self) -> ReadingProgress:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._bar is not None:
            self._bar.stop()

    def advance(self, read_bytes: int) -> None:
        """So many bytes more."""
        self._done = min(self._total, self._done + read_bytes)
        if self._bar is None:
            if time.monotonic() - self._begun < PATIENCE_SECONDS or not sys.stderr.isatty():
                return
            self._begin()
        if self._bar is not None and self._task is not None:
            self._bar.update(self._task, completed=self._done)

    def _begin(self) -> None:
        from rich.console import Console  # noqa: PLC0415  (only for who waits)
        from rich.markup import escape  # noqa: PLC0415
        from rich.progress import Progress  # noqa: PLC0415

        self._bar = Progress(console=Console(stderr=True), transient=True)
        self._task = self._bar.add_task(escape(self._words), total=self._total)
        self._bar.start()
