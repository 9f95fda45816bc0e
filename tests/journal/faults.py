"""Disks that fail on demand, and one that watches the lock."""

from __future__ import annotations

import errno
import os
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

from fieldtui.journal.disk import Disk

T = TypeVar("T")


class WatchedDisk(Disk):
    """Refuses what must not happen: a change without the lock, a second sync after one that failed."""

    def __init__(self) -> None:
        self._names: dict[int, Path] = {}
        self._held: set[int] = set()
        self._unsyncable: set[int] = set()

    def open(self, path: Path, *, writable: bool, create: bool = False) -> int:
        descriptor = super().open(path, writable=writable, create=create)
        self._names[descriptor] = path
        self._held.discard(descriptor)
        return descriptor

    def close(self, descriptor: int) -> None:
        self._held.discard(descriptor)
        self._unsyncable.discard(descriptor)
        super().close(descriptor)

    def lock(self, descriptor: int, path: Path) -> None:
        super().lock(descriptor, path)
        self._held.add(descriptor)

    def unlock(self, descriptor: int) -> None:
        self._held.discard(descriptor)
        super().unlock(descriptor)

    def write(self, descriptor: int, data: bytes) -> int:
        self._check(descriptor)
        return super().write(descriptor, data)

    def truncate(self, descriptor: int, length: int) -> None:
        self._check(descriptor)
        super().truncate(descriptor, length)

    def sync(self, descriptor: int) -> None:
        assert descriptor not in self._unsyncable, "a failed sync is never tried again on the same file"
        super().sync(descriptor)

    def note_failed_sync(self, descriptor: int) -> None:
        """A sync of a journal failed."""
        if self._is_journal(descriptor):
            self._unsyncable.add(descriptor)

    def _is_journal(self, descriptor: int) -> bool:
        return self._names[descriptor].suffix == ".jsonl"

    def _check(self, descriptor: int) -> None:
        assert not self._is_journal(descriptor) or descriptor in self._held, "a change without the lock"


class FaultyDisk(WatchedDisk):
    """Fails at its nth call in one of several ways.

    `once`: that call raises. `lasting`: it and all later ones raise, until the disk is healed. `short`: if it is a
    write, half is taken. `full`: from there on a write takes a few bytes, the next says that there is no space.
    `half`: if it is a write, half is taken, and then nothing works until the disk is healed.
    """

    def __init__(self, nth: int, how: str, error: int = errno.EIO) -> None:
        super().__init__()
        self.fired: list[str] = []
        self._nth, self._how, self._error = nth, how, error
        self._calls = 0
        self._well = False

    def fail_from_here(self, *, after: int = 0) -> None:
        """The next call is the one that fails, or a later one."""
        self._nth = self._calls + after + 1

    def heal(self) -> None:
        """Space was made, or the card was pushed in again."""
        self._well = True

    def _due(self, name: str) -> bool:
        self._calls += 1
        if self._calls == self._nth:
            due = name == "write" or self._how in ("once", "lasting")
        elif self._how == "full":
            due = self._calls > self._nth and name == "write"
        else:
            due = bool(self.fired) and self._how in ("lasting", "half")
        due = due and not self._well
        if due:
            self.fired.append(name)
        return due

    @property
    def spent(self) -> bool:
        """Whether there were fewer calls than the one that was to fail."""
        return self._calls < self._nth

    def _or_fail(self, name: str, call: Callable[[], T]) -> T:
        if self._due(name):
            raise OSError(self._error, os.strerror(self._error))
        return call()

    def write(self, descriptor: int, data: bytes) -> int:
        if not self._due("write"):
            return super().write(descriptor, data)
        if self._how == "short" or (self._how == "half" and len(self.fired) == 1):
            return super().write(descriptor, data[: max(1, len(data) // 2)])
        if self._how == "full" and len(self.fired) == 1:
            return super().write(descriptor, data[:17])
        raise OSError(self._error, os.strerror(self._error))

    def open(self, path: Path, *, writable: bool, create: bool = False) -> int:
        opening = super().open
        return self._or_fail("open", lambda: opening(path, writable=writable, create=create))

    def read_at(self, descriptor: int, count: int, offset: int) -> bytes:
        reading = super().read_at
        return self._or_fail("read", lambda: reading(descriptor, count, offset))

    def truncate(self, descriptor: int, length: int) -> None:
        cutting = super().truncate
        self._or_fail("truncate", lambda: cutting(descriptor, length))

    def sync(self, descriptor: int) -> None:
        syncing = super().sync
        try:
            self._or_fail("sync", lambda: syncing(descriptor))
        except OSError:
            self.note_failed_sync(descriptor)
            raise

    def sync_folder(self, folder: Path) -> None:
        syncing = super().sync_folder
        self._or_fail("sync folder", lambda: syncing(folder))

    def rename(self, source: Path, target: Path) -> None:
        renaming = super().rename
        self._or_fail("rename", lambda: renaming(source, target))

    def lock(self, descriptor: int, path: Path) -> None:
        locking = super().lock
        self._or_fail("lock", lambda: locking(descriptor, path))
