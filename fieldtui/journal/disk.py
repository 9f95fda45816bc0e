"""The few calls to the operating system that keep a journal, in one place.

Tests put a stand-in here that fails at the first, second, third ... call, which no real disk does on demand.
"""

from __future__ import annotations

import fcntl
import os
import shutil
import stat
import time
from contextlib import suppress
from pathlib import Path

from fieldtui.journal.errors import JournalBusyError
from fieldtui.journal.made_folder import sync_again

PRIVATE = 0o600
"""A journal tells where somebody is and whom they talked to: others are let in by whoever wants them in."""
LOCK_SECONDS = 5.0
"""How long to wait for another writer; a healthy one holds the lock for milliseconds."""


class Disk:
    """Real files."""

    def open(self, path: Path, *, writable: bool, create: bool = False) -> int:
        """A descriptor; appending is atomic with respect to other writers (open(2), O_APPEND)."""
        flags = os.O_RDWR | os.O_APPEND if writable else os.O_RDONLY
        return os.open(path, flags | (os.O_CREAT if create else 0) | os.O_CLOEXEC, PRIVATE)

    def read_at(self, descriptor: int, count: int, offset: int) -> bytes:
        """Up to `count` bytes from `offset`; the position that appends use is not touched."""
        return os.pread(descriptor, count, offset)

    def write(self, descriptor: int, data: bytes) -> int:
        """How many bytes were taken: on a full disk fewer than given, without an error."""
        return os.write(descriptor, data)

    def truncate(self, descriptor: int, length: int) -> None:
        """Cut the file back."""
        os.ftruncate(descriptor, length)

    def sync(self, descriptor: int) -> None:
        """Data, and the size needed to read it back, are on the card when this returns."""
        os.fdatasync(descriptor)

    def sync_folder(self, folder: Path) -> None:
        """Make a new or renamed file's name durable."""
        descriptor = os.open(folder, os.O_RDONLY | os.O_DIRECTORY | os.O_CLOEXEC)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)

    def rename(self, source: Path, target: Path) -> None:
        """Replace `target` in one step."""
        source.replace(target)

    def copy_rights(self, source: int, target: int) -> None:
        """Let the same people read and write a copy; not every disk knows rights, and not everybody may give away."""
        status = os.fstat(source)
        with suppress(OSError):
            os.fchown(target, status.st_uid, status.st_gid)
        with suppress(OSError):
            os.fchmod(target, stat.S_IMODE(status.st_mode))

    def keep_as(self, path: Path, other: Path) -> None:
        """Give a file a second name, so that it outlives the loss of its first; a copy, where no disk can do that."""
        other.unlink(missing_ok=True)
        try:
            os.link(path, other)
        except OSError:
            with suppress(OSError):
                shutil.copyfile(path, other)
                sync_again(other)

    def close(self, descriptor: int) -> None:
        """Let go; also lets go of the lock."""
        os.close(descriptor)

    def lock(self, descriptor: int, path: Path) -> None:
        """Take the advisory lock of the open file.

        `flock`, not a POSIX record lock: that one is lost as soon as any descriptor of the file closes.

        Raises:
            JournalBusyError: another program held it for `LOCK_SECONDS`.
        """
        deadline = time.monotonic() + LOCK_SECONDS
        while True:
            try:
                fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
            except BlockingIOError:
                if time.monotonic() > deadline:
                    raise JournalBusyError(
                        f"{path.name} is held by another program: look for a stopped one (fg, or kill it)"
                    ) from None
                time.sleep(0.002)
            else:
                return

    def unlock(self, descriptor: int) -> None:
        """Let others append."""
        fcntl.flock(descriptor, fcntl.LOCK_UN)
