"""The file of the index: who may write it, how it is opened, and what becomes of one that is no good.

Write-ahead logging stays off. It would keep two more files beside the index that must not be lost apart from
it, needs shared memory, which network and some card file systems do not give, and writes every page twice;
and what it gives, reading beside a writer, is hardly needed, since a writer here keeps readers out only for
the moment of a commit. The rollback journal survives a kill and a power cut alike.

Only one program writes at a time, and only it may replace the file: one that is removed under an open connection
could have its rollback journal taken for that of the new file, or the other way round (sqlite.org, "How To
Corrupt An SQLite Database File", section on unlinked files). So a lock file of our own is held for all writing;
who reads looks first whether the name still means the file that is open; and a writer whose file was deleted is
stopped by SQLite (SQLITE_READONLY_DBMOVED).
"""

from __future__ import annotations

import errno
import fcntl
import os
import sqlite3
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from fieldtui.history.schema import APPLICATION_ID, ForeignError, holds_index, prepare
from fieldtui.journal.made_folder import make_folder

BUSY_SECONDS = 5.0
"""How long to wait for a commit of another program; a healthy one takes a moment."""
POLL_SECONDS = 0.02

_BESIDE = ("", "-journal", "-wal", "-shm")
_ID_AT = slice(68, 72)
"""Where the application id is: sqlite.org, "Database File Format", section 1.3.
A damaged index of our own is known by it."""

_BUSY = (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED)
_NO_DAMAGE = (
    *_BUSY,
    sqlite3.SQLITE_CANTOPEN,
    sqlite3.SQLITE_FULL,
    sqlite3.SQLITE_INTERRUPT,
    sqlite3.SQLITE_IOERR,
    sqlite3.SQLITE_NOMEM,
    sqlite3.SQLITE_PERM,
    sqlite3.SQLITE_READONLY,
)

Identity = tuple[int, int]
"""Device and inode: what a name means now."""


class BusyError(Exception):
    """Another program is writing the index."""


@contextmanager
def only_writer(path: Path, wait_seconds: float) -> Iterator[None]:
    """Be the only one who writes the index, or replaces its file; ends with the process at the latest.

    Raises:
        BusyError: another program was at it all that time.
        OSError: nothing can be written there.
    """
    make_folder(path.parent)
    lock = path.with_name(path.name + ".lock")
    descriptor = os.open(lock, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o644)
    try:
        _take(descriptor, time.monotonic() + wait_seconds)
        yield
    finally:
        os.close(descriptor)


def _take(descriptor: int, deadline: float) -> None:
    while True:
        try:
            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            if time.monotonic() > deadline:
                raise BusyError from None
            time.sleep(POLL_SECONDS)
        else:
            return


def identity(path: Path) -> Identity | None:
    """What the name means now; None for nothing.

    Raises:
        OSError: it cannot be looked at.
    """
    try:
        found = path.stat()
    except (FileNotFoundError, NotADirectoryError):
        return None
    return found.st_dev, found.st_ino


def open_reader(path: Path) -> sqlite3.Connection | None:
    """The index for reading, or None if the file holds none of this version.

    It is opened such that a transaction that was cut short can be rolled back, if the disk lets us.

    Raises:
        sqlite3.Error: it is damaged, or cannot be read.
    """
    db = _connect(path, "rw")
    try:
        if holds_index(db):
            return db
    except sqlite3.Error:
        db.close()
        raise
    db.close()
    return None


def open_writer(path: Path) -> sqlite3.Connection:
    """The index for writing, made if it is not there; by the only writer.

    Raises:
        ForeignError: the file holds something else.
        sqlite3.Error: it is damaged, or cannot be written.
    """
    return _prepared(_connect(path, "rwc"))


def open_in_memory(like: sqlite3.Connection | None) -> sqlite3.Connection:
    """An index that is gone with the program, with all that another one holds to begin with.

    Raises:
        ForeignError: the other one is not an index.
        sqlite3.Error: it is damaged.
    """
    db = sqlite3.connect(":memory:", isolation_level=None, check_same_thread=False)
    if like is not None:
        try:
            like.backup(db)
        except sqlite3.Error:
            db.close()
            raise
    return _prepared(db)


def _connect(path: Path, mode: str) -> sqlite3.Connection:
    return sqlite3.connect(
        f"{path.absolute().as_uri()}?mode={mode}",
        uri=True,
        timeout=BUSY_SECONDS,
        isolation_level=None,
        check_same_thread=False,
    )


def _prepared(db: sqlite3.Connection) -> sqlite3.Connection:
    try:
        # Pages that overflow into the file in mid-transaction would keep readers out until its end.
        db.execute("PRAGMA cache_spill = OFF")
        prepare(db)
    except (ForeignError, sqlite3.Error):
        db.close()
        raise
    return db


def discard(path: Path) -> None:
    """Clear the way for a new index; by the only writer.

    A damaged or outdated index is deleted. What is none of ours, such as a file named by mistake, is not touched.

    Raises:
        OSError: it cannot be done.
    """
    if not path.exists():
        return
    if not path.is_file():
        raise OSError(errno.EEXIST, "that is not a regular file")
    with path.open("rb") as file:
        ours = file.read(_ID_AT.stop)[_ID_AT] == APPLICATION_ID.to_bytes(4, "big")
        empty = not file.seek(0, 2)
    if not (ours or empty):
        raise OSError(errno.EEXIST, "something else is there, which is left as it is")
    for beside in _BESIDE:
        path.with_name(path.name + beside).unlink(missing_ok=True)


def is_damage(error: Exception) -> bool:
    """Whether an error means that the file has to be made again, and not that the disk or others stand in the way."""
    code = getattr(error, "sqlite_errorcode", sqlite3.SQLITE_CORRUPT)
    return not isinstance(error, OSError) and code & 0xFF not in _NO_DAMAGE


def was_removed(error: Exception) -> bool:
    """Whether somebody deleted the index while it was written; nothing is wrong with that."""
    return getattr(error, "sqlite_errorcode", 0) == sqlite3.SQLITE_READONLY_DBMOVED


def is_busy(error: Exception) -> bool:
    """Whether another program stands in the way."""
    return isinstance(error, BusyError) or getattr(error, "sqlite_errorcode", 0) & 0xFF in _BUSY
