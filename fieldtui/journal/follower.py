"""Reading a journal along while others write it. This thread opens the file read only and can write nothing.

It has the face of the keeper, so that a screen that only watches is the same screen with another thread.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from pathlib import Path

from fieldtui.journal.errors import disk_words
from fieldtui.journal.event_types import Event
from fieldtui.journal.file import Batch, Draft, Journal

POLL_SECONDS = 0.5
RETRY_SECONDS = 2.0


class Follower(threading.Thread):
    """Hands out every line of a journal in order, first those already there, and then what is added.

    `on_read` is called when the end was reached, for the first time or of lines handed out once more.
    `on_trouble` gets one line of words while the file cannot be read, and an empty text when it can again. All run
    in this thread.
    """

    def __init__(
        self,
        path: Path,
        *,
        on_batch: Callable[[Batch], None],
        on_trouble: Callable[[str], None],
        on_read: Callable[[], None],
    ) -> None:
        super().__init__(name="journal", daemon=True)
        self.path = path
        self.journal: Journal | None = None
        self._on_batch, self._on_trouble, self._on_read = on_batch, on_trouble, on_read
        self._stopping = threading.Event()
        self._read = False
        self._trouble = ""

    def submit(self, *_: Event, **__: object) -> None:
        """Refuse: whoever watches has nothing to write.

        Raises:
            PermissionError: always, and before anything is touched.
        """
        raise PermissionError("this screen only watches: it writes nothing")

    def unsaved(self) -> list[Draft]:
        """Nothing, since nothing is entered."""
        return []

    def stop(self, seconds: float = 10.0) -> list[Draft]:
        """End the thread; returns what could not be saved, which is nothing."""
        self._stopping.set()
        if self.is_alive():
            self.join(seconds)
        return []

    def run(self) -> None:
        """Follow the file until stopped; a file that is not there yet is waited for."""
        pause = 0.0
        while not self._stopping.wait(pause):
            pause = POLL_SECONDS if self._follow() else RETRY_SECONDS
        if self.journal:
            self.journal.close()

    def _follow(self) -> bool:
        try:
            if self.journal is None:
                self.journal = Journal(self.path, writable=False)
            for batch in self.journal.follow():
                self._read = self._read and not batch.restarted
                self._on_batch(batch)
        except FileNotFoundError:
            return self._say(f"{self.path.name} is not there yet: retrying every {RETRY_SECONDS:g} s")
        except OSError as error:
            return self._say(disk_words(error))
        if not self._read:
            self._read = True
            self._on_read()
        return self._say("")

    def _say(self, words: str) -> bool:
        """Tell what is new about the trouble; returns whether there is none."""
        if words != self._trouble:
            self._trouble = words
            self._on_trouble(words)
        return not words
