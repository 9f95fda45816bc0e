"""An open file and its name: reading, writing all or nothing, locking, and moving to a fresh file.

Knows bytes, not lines; `file.py` knows what they mean.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from fieldtui.journal.disk import Disk

COPY_BYTES = 256 * 1024


class OpenFile:
    """A descriptor and the name it was opened by, which may come to mean another file meanwhile."""

    def __init__(self, path: Path, *, writable: bool, disk: Disk, stands_for: Path | None = None) -> None:
        """Open it, and make it if it is to be written and is not there.

        `stands_for` is a copy that a power cut kept from its name: it gets it, or is read if nothing may be written.

        Raises:
            OSError: it cannot be opened.
        """
        if stands_for is not None and writable:
            disk.rename(stands_for, path)
            disk.sync_folder(path.parent)
        self.path = path
        self.disk = disk
        self.suspect = False
        """Whether a sync failed: what the kernel could not write it forgets, so no later sync proves anything."""
        self._writable = writable
        self._folder_synced = False
        self._half_written: tuple[int, bytes] | None = None
        if stands_for is not None and not writable:
            self._descriptor = disk.open(stands_for, writable=False)
            self._identity = _identity(path.stat() if path.exists() else os.fstat(self._descriptor))
        else:
            self._descriptor = self._opened(create=writable)
            self._identity = _identity(os.fstat(self._descriptor))

    def _opened(self, *, create: bool) -> int:
        return self.disk.open(self.path, writable=self._writable, create=create)

    def reopen(self) -> None:
        """Open what the name means now."""
        self._take_up(self._opened(create=self._writable))

    def open_again(self) -> None:
        """After `close`: open the file that is there, and make none; what is known of it still holds.

        Raises:
            OSError: it is not there, or cannot be opened.
        """
        self._descriptor = self._opened(create=False)
        self._identity = _identity(os.fstat(self._descriptor))
        self._folder_synced = False

    @property
    def closed(self) -> bool:
        """Whether nothing of the disk is held."""
        return self._descriptor < 0

    def _take_up(self, descriptor: int) -> None:
        self.close()
        self._descriptor, self._identity = descriptor, _identity(os.fstat(descriptor))
        self.suspect = self._folder_synced = False
        self._half_written = None

    def close(self) -> None:
        """Let go."""
        if self._descriptor >= 0:
            with suppress(OSError):
                self.disk.close(self._descriptor)
            self._descriptor = -1

    @property
    def size(self) -> int:
        """Bytes."""
        return os.fstat(self._descriptor).st_size

    @property
    def renamed(self) -> bool:
        """Whether the name means another file now; a name that means nothing is no other file."""
        try:
            return _identity(self.path.stat()) != self._identity
        except FileNotFoundError:
            return False

    def read_at(self, count: int, offset: int) -> bytes:
        """Up to `count` bytes from `offset`."""
        return self.disk.read_at(self._descriptor, count, offset)

    @contextmanager
    def locked(self) -> Iterator[None]:
        """The lock of the file that is open, whatever its name means now; closing it lets go too."""
        held = self._descriptor
        self.disk.lock(held, self.path)
        try:
            self._cut_half_written()
            yield
        finally:
            if held == self._descriptor:
                with suppress(OSError):
                    self.disk.unlock(held)

    # Writing, under the lock

    def write_whole(self, data: bytes) -> None:
        """All or nothing: a full disk takes a part of a line without an error, and that is cut off again."""
        before, done = self.size, 0
        try:
            while done < len(data):
                done += self.disk.write(self._descriptor, data[done:])
        except OSError:
            self._half_written = (before, data[:done]) if done else None
            with suppress(OSError):
                self._cut_half_written()
            raise

    def write_first(self, line: bytes, rest: bytes) -> None:
        """The first line alone, and safe, then the rest; all or nothing.

        A line is shorter than a sector. Were more written at once, a power cut could leave later sectors without the
        first one: a file that is no journal, under the name that the next start goes on with.
        """
        self.write_whole(line)
        try:
            self._sync_or_suspect()
            self.write_whole(rest)
        except OSError:
            with suppress(OSError):
                self.disk.truncate(self._descriptor, 0)
            raise

    def _cut_half_written(self) -> None:
        """Cut off what a failed write left behind, unless somebody has written on since."""
        if self._half_written is None:
            return
        start, written = self._half_written
        if self.size == start + len(written) and self.read_at(len(written), start) == written:
            self.disk.truncate(self._descriptor, start)
        self._half_written = None

    def move_aside(self, start: int, moved_to: Path) -> int:
        """Append the bytes from `start` on to another file, cut them off here; returns how many."""
        aside = self.disk.open(moved_to, writable=True, create=True)
        try:
            self.disk.copy_rights(self._descriptor, aside)
            moved = self._copy(start, aside)
            if self.read_at(1, self.size - 1) != b"\n":
                self.disk.write(aside, b"\n")
            self.disk.sync(aside)
        finally:
            self.disk.close(aside)
        self.disk.sync_folder(self.path.parent)
        self.disk.truncate(self._descriptor, start)
        self._sync_or_suspect()
        return moved

    def _copy(self, start: int, target: int) -> int:
        offset = start
        while chunk := self.read_at(COPY_BYTES, offset):
            offset += self.disk.write(target, chunk)
        return offset - start

    # Syncing

    def sync(self, leave_suspect: Callable[[], None]) -> None:
        """What was written is on the disk when this returns; `leave_suspect` has to give up a file that cannot.

        Raises:
            OSError: it is not.
        """
        self._sync_or_suspect()
        if self.suspect:
            leave_suspect()
            self.suspect = False
        if not self._folder_synced:
            self.suspect = True
            self.disk.sync_folder(self.path.parent)
            self.suspect, self._folder_synced = False, True

    def _sync_or_suspect(self) -> None:
        if not self.suspect:
            try:
                self.disk.sync(self._descriptor)
            except OSError:
                self.suspect = True

    def move_to_fresh_file(self, refuse_bad_copy: Callable[[Path], None]) -> None:
        """Under the lock: copy all to a new file and put that under the name; the old one becomes NAME.suspect.

        Raises:
            OSError: it did not work; the old file is still the one under the name.
        """
        fresh = self.path.with_name(self.path.name + FRESH)
        fresh.unlink(missing_ok=True)
        descriptor = self.disk.open(fresh, writable=True, create=True)
        try:
            self.disk.copy_rights(self._descriptor, descriptor)
            self._copy(0, descriptor)
            self.disk.sync(descriptor)
            refuse_bad_copy(fresh)
            if self.path.exists():
                self.disk.keep_as(self.path, self.path.with_name(self.path.name + SUSPECT))
                self.disk.sync_folder(self.path.parent)
            self.disk.rename(fresh, self.path)
            # Once more: on FAT a rename changes what stands of the file in its folder, and only this puts it there.
            with suppress(OSError):
                self.disk.sync(descriptor)
        except OSError:
            with suppress(OSError):
                self.disk.close(descriptor)
            fresh.unlink(missing_ok=True)
            raise
        self._take_up(descriptor)


SUSPECT = ".suspect"
"""Ends the name of a file whose disk failed, kept beside its copy."""
FRESH = ".fresh"
"""Ends the name of the copy that takes the place of a file whose disk failed, until it has that name."""


def moved_half_way(path: Path) -> Path | None:
    """The whole copy of a file, where a power cut came while it got the file's name, and the name means nothing."""
    with suppress(OSError):
        there, holds = path.exists(), path.exists() and path.stat().st_size > 0
        fresh, suspect = (path.with_name(path.name + ending) for ending in (FRESH, SUSPECT))
        if not holds and fresh.exists() and fresh.stat().st_size:
            return fresh
        # Where nothing is left under the name, and not where it was taken away by somebody.
        if there and not holds and suspect.exists() and suspect.stat().st_size:
            return suspect
    return None


def _identity(status: os.stat_result) -> tuple[int, int]:
    """Device and number: a card that is mounted again may be another device with the same numbers on it."""
    return status.st_dev, status.st_ino
