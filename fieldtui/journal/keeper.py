"""The one thread that touches the journal, so that a slow card never stops the screen.

Entries wait in memory until the disk has them. If it refuses, they stay there and are tried again; the
screen says NOT SAVED meanwhile. Only telemetry may be dropped, and only when thousands of lines wait.
"""

from __future__ import annotations

import gc
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from msgspec import Struct, field

from fieldtui.journal.disk import Disk
from fieldtui.journal.errors import JournalError, disk_failing, disk_words
from fieldtui.journal.event_types import Event
from fieldtui.journal.events import TELEMETRY
from fieldtui.journal.file import Batch, Draft, Journal
from fieldtui.journal.line import checked_data
from fieldtui.journal.made_folder import make_folder
from fieldtui.journal.stamp import Clock

POLL_SECONDS = 0.25
TELEMETRY_SECONDS = 1.0
"""How long telemetry waits to be written together."""
SYNC_SECONDS = 5.0
"""How old written telemetry may get before it is synced."""
RETRY_SECONDS = 2.0
MOST_TELEMETRY = 5000

Told = Callable[[], None]


class _Entry(Struct):
    draft: Draft
    urgent: bool
    told: Told | None = None


class _Waiting(Struct):
    """What is not safe yet: not written at all, and written but not synced."""

    unwritten: list[_Entry] = field(default_factory=list)
    unsynced: list[_Entry] = field(default_factory=list)


class Keeper(threading.Thread):
    """Owns the journal of a running screen.

    `on_batch` gets every line of the file in order, first those already there; `on_read` is called at the end of
    those, and again at the end of lines that were handed out once more. `on_trouble` gets one line of words when
    saving fails, and an empty text when it works again. All run in this thread.
    """

    def __init__(
        self,
        path: Path,
        clock: Clock,
        *,
        on_batch: Callable[[Batch], None],
        on_trouble: Callable[[str], None],
        on_read: Callable[[], None] = lambda: None,
        disk: Disk | None = None,
    ) -> None:
        super().__init__(name="journal", daemon=True)
        self.path = path
        self.journal: Journal | None = None
        self._clock = clock
        self._on_batch, self._on_trouble, self._on_read = on_batch, on_trouble, on_read
        self._disk = disk
        self._waiting = _Waiting()
        self._wake = threading.Condition()
        self._stopping = threading.Event()
        self._read = False
        self._reading_again = False
        self._trouble = ""
        self._retry_at = 0.0
        self._written_at = 0.0
        self._synced_at = 0.0

    def submit(self, *events: Event, told: Told | None = None, mono_seconds: float | None = None) -> None:
        """Have events written in this order; `told` is called in the keeper's thread when they are safe.

        They happened now, or at `mono_seconds` of this boot: a reading is handed over some time after it came.

        Without `told`, telemetry is batched; whatever else is given is written and synced at once.

        Raises:
            OutOfBoundsError: one of them could not be read again; nothing of this call is taken.
        """
        for event in events:
            # Here and not in the thread: there it would hold up all that waits behind it.
            if type(event) not in TELEMETRY:
                checked_data(event)
        stamp = self._clock.now()
        if mono_seconds is not None:
            stamp = stamp.moved_to(mono_seconds)
        urgent = bool(told) or any(type(event) not in TELEMETRY for event in events)
        entries = [_Entry(Draft(stamp, event), urgent) for event in events]
        if entries:
            entries[-1].told = told
        with self._wake:
            self._waiting.unwritten.extend(entries)
            self._drop_excess()
            if urgent:
                self._wake.notify()

    def unsaved(self) -> list[Draft]:
        """What the operator entered and the disk does not have, each with the moment when it was entered."""
        with self._wake:
            waiting = [*self._waiting.unsynced, *self._waiting.unwritten]
        return [entry.draft for entry in waiting if entry.urgent]

    def stop(self, seconds: float = 10.0) -> list[Draft]:
        """Write and sync what is left, end the thread; returns what could not be saved."""
        with self._wake:
            self._stopping.set()
            self._wake.notify()
        if self.is_alive():
            self.join(seconds)
        return self.unsaved()

    # The thread

    def run(self) -> None:
        """Write what is submitted, follow what others write, until stopped."""
        while not self._stopping.is_set():
            self._round()
            with self._wake:
                if not self._stopping.is_set() and not self._urgent_now():
                    self._wake.wait(POLL_SECONDS)
        self._retry_at = 0.0
        self._round(last=True)
        if self.journal:
            self.journal.close()

    def _urgent_now(self) -> bool:
        return not self._trouble and any(entry.urgent for entry in self._waiting.unwritten)

    def _round(self, *, last: bool = False) -> None:
        if time.monotonic() < self._retry_at:
            return
        try:
            journal = self._opened()
            for batch in self._news(journal, last=last):
                self._reading_again |= batch.restarted
                self._on_batch(batch)
            if self._reading_again:
                self._reading_again = False
                self._on_read()
            self._sync_if_due(journal, last=last)
        except JournalError as error:
            self._failed(error, str(error))
        except OSError as error:
            self._failed(error, disk_words(error))
        else:
            self._say("")

    def _opened(self) -> Journal:
        if self.journal is None:
            make_folder(self.path.parent)
            self.journal = Journal(self.path, disk=self._disk)
        self.journal.open_again()
        if not self._read:
            self._read_all(self.journal)
        return self.journal

    def _read_all(self, journal: Journal) -> None:
        # A long journal makes many objects and no cycles: the collector would only cost time.
        collecting = gc.isenabled()
        gc.disable()
        try:
            for batch in journal.follow():
                self._on_batch(batch)
        finally:
            # A screen that starts has it off: turned on here it would walk over all that was imported.
            if collecting:
                gc.enable()
        # What is there can be shown and entries can be typed even if the disk takes nothing now.
        self._read = True
        try:
            for batch in journal.recover():
                self._on_batch(batch)
        finally:
            self._on_read()

    def _news(self, journal: Journal, *, last: bool) -> Iterator[Batch]:
        if not self._write_due(last=last):
            yield from journal.follow()
            return
        with self._wake:
            entries = [*self._waiting.unwritten]
        batches = journal.append([entry.draft for entry in entries])
        with self._wake:
            written = {id(entry) for entry in entries}
            self._waiting.unwritten = [entry for entry in self._waiting.unwritten if id(entry) not in written]
            self._waiting.unsynced.extend(entries)
        self._written_at = time.monotonic()
        yield from batches

    def _write_due(self, *, last: bool) -> bool:
        waiting = self._waiting.unwritten
        old = time.monotonic() - self._written_at > TELEMETRY_SECONDS
        return bool(waiting) and (last or old or any(entry.urgent for entry in waiting))

    def _sync_if_due(self, journal: Journal, *, last: bool) -> None:
        unsynced = self._waiting.unsynced
        old = time.monotonic() - self._synced_at > SYNC_SECONDS
        if not unsynced or not (last or old or any(entry.urgent for entry in unsynced)):
            return
        journal.sync()
        self._synced_at = time.monotonic()
        with self._wake:
            safe, self._waiting.unsynced = unsynced, []
        for entry in safe:
            if entry.told:
                entry.told()

    def _failed(self, error: Exception, words: str) -> None:
        if self.journal and disk_failing(error):
            # An open file keeps the disk from being unmounted, which is what it needs to take anything again.
            self.journal.close()
        self._retry_at = time.monotonic() + RETRY_SECONDS
        self._say(words)

    def _say(self, words: str) -> None:
        if words != self._trouble:
            self._trouble = words
            self._on_trouble(words)

    def _drop_excess(self) -> None:
        waiting = self._waiting.unwritten
        if len(waiting) > MOST_TELEMETRY:
            excess = len(waiting) - MOST_TELEMETRY
            self._waiting.unwritten = [
                entry for position, entry in enumerate(waiting) if entry.urgent or position >= excess
            ]


def write_now(path: Path, clock: Clock, events: Sequence[Event]) -> None:
    """Append events to a journal and sync, without a thread.

    Raises:
        JournalError: they are not saved.
        OSError: the file cannot be opened.
    """
    with Journal(path) as journal:
        journal.append([Draft(clock.now(), event) for event in events])
        journal.sync()
