"""Bringing the index up to date: which journals changed, and what that changes in the tables.

A journal that grew is read again from its start. To read on from where it ended, the state of every fold would
have to be kept (clocks of all boots, places, withdrawn contacts), in a form that must match the program's
version, to save what folding one session costs. Rows that come out the same are not written again.
"""

from __future__ import annotations

import os
import sqlite3
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from fieldtui.history.rows import Row, read_journal
from fieldtui.history.schema import COLUMNS, FROM_JOURNAL
from fieldtui.journal.folder import journals

COMMIT_SECONDS = 5.0
"""A kill loses no more work than this. Each commit syncs several times and writes pages that the next one may
write again: one for every journal would wear the card.
"""

Mark = tuple[int, int, int]
"""Size, time of change in nanoseconds, inode: a journal with the same mark was not written since."""

Progress = Callable[[int, int], object]
"""How many of the journals to read are done, and how many there are to read."""

_INSERT = (
    "INSERT INTO contact (file, shelf, " + ", ".join(COLUMNS) + ")"  # noqa: S608 (our own column names)
    " VALUES (?, ?" + ", ?" * len(COLUMNS) + ")"
)
_ROWS = "SELECT " + ", ".join(COLUMNS) + " FROM contact WHERE file = ?"  # noqa: S608 (our own column names)


@dataclass(frozen=True, slots=True)
class Listed:
    """A journal in the folder, as it was before it was read."""

    path: Path
    mark: Mark

    @property
    def name(self) -> bytes:
        """Its name, which may be no text."""
        return os.fsencode(self.path.name)


@dataclass(frozen=True, slots=True)
class _Indexed:
    """A journal in the index."""

    file: int
    shelf: int
    mark: Mark


def listed(folder: Path) -> list[Listed]:
    """The journals of a folder.

    Raises:
        OSError: the folder cannot be read.
    """
    return [Listed(path, mark) for path in journals(folder) if (mark := _mark(path))]


def _mark(path: Path) -> Mark | None:
    try:
        found = path.stat()
    except OSError:  # removed since the folder was read
        return None
    return found.st_size, found.st_mtime_ns, found.st_ino


def folder_key(folder: Path) -> bytes:
    """A folder as the index names it: the same for all paths that lead there."""
    return os.fsencode(os.path.realpath(folder))


class CatchingUp:
    """One pass over the folder, for one connection that may write."""

    def __init__(self, db: sqlite3.Connection, folder: Path) -> None:
        self.read = self.removed = self.unreadable = 0
        self._db = db
        self._folder = folder_key(folder)
        self._committed_at = 0.0

    def run(self, found: Sequence[Listed], progress: Progress | None) -> None:
        """Read what changed, forget what is gone; what was done stays done if it ends early.

        Raises:
            sqlite3.Error: the index is damaged, was deleted meanwhile, or cannot be written.
        """
        indexed = self._indexed()
        names = {one.name for one in found}
        gone = [indexed[name] for name in indexed.keys() - names]
        changed = [one for one in found if one.name not in indexed or indexed[one.name].mark != one.mark]
        # Newest first: who waits wants to know of yesterday before the year before last.
        changed.reverse()
        abandoned = self._abandoned_folders()
        if not (gone or changed or abandoned):
            return
        with self._transactions():
            for folder in abandoned:
                self._forget_folder(folder)
            for one in gone:
                self._forget(one.file)
                self.removed += 1
                self._commit_if_due()
            for done, journal in enumerate(changed):
                if progress:
                    progress(done, len(changed))
                self._index(journal, indexed.get(journal.name))
                self._commit_if_due()
        if progress:
            progress(len(changed), len(changed))

    # Transactions

    @contextmanager
    def _transactions(self) -> Iterator[None]:
        self._begin()
        try:
            yield
            self._db.execute("COMMIT")
        finally:
            if self._db.in_transaction:
                self._db.execute("ROLLBACK")

    def _begin(self) -> None:
        self._db.execute("BEGIN IMMEDIATE")
        self._committed_at = time.monotonic()

    def _commit_if_due(self) -> None:
        if time.monotonic() - self._committed_at >= COMMIT_SECONDS:
            self._db.execute("COMMIT")
            self._begin()

    # Files

    def _indexed(self) -> dict[bytes, _Indexed]:
        rows = self._db.execute(
            "SELECT file.name, file.id, shelf, size, mtime_ns, inode FROM file JOIN shelf ON shelf.id = shelf"
            " WHERE folder = ? AND source = ?",
            (self._folder, FROM_JOURNAL),
        )
        return {
            name: _Indexed(file, shelf, (size, time_ns, inode))
            for name, file, shelf, size, time_ns, inode in rows
        }

    def _index(self, journal: Listed, before: _Indexed | None) -> None:
        try:
            told = read_journal(journal.path)
        except OSError:
            # What is known of it stays: it may be there again next time.
            self.unreadable += 1
            return
        shelf = self._shelf(demo=told.demo)
        if before and before.shelf != shelf:
            self._forget(before.file)
            before = None
        file = self._marked(before.file, journal) if before else self._added(shelf, journal)
        self._replace_rows(file, shelf, told.rows)
        self.read += 1

    def _shelf(self, *, demo: bool) -> int:
        key = (self._folder, int(demo))
        self._db.execute("INSERT OR IGNORE INTO shelf (folder, demo) VALUES (?, ?)", key)
        (shelf,) = self._db.execute("SELECT id FROM shelf WHERE folder = ? AND demo = ?", key).fetchone()
        return int(shelf)

    def _added(self, shelf: int, journal: Listed) -> int:
        added = self._db.execute(
            "INSERT INTO file (shelf, source, name, size, mtime_ns, inode) VALUES (?, ?, ?, ?, ?, ?)",
            (shelf, FROM_JOURNAL, journal.name, *journal.mark),
        )
        return added.lastrowid or 0

    def _marked(self, file: int, journal: Listed) -> int:
        self._db.execute(
            "UPDATE file SET size = ?, mtime_ns = ?, inode = ? WHERE id = ?", (*journal.mark, file)
        )
        return file

    def _replace_rows(self, file: int, shelf: int, rows: Iterable[Row]) -> None:
        before, now = set(self._db.execute(_ROWS, (file,))), set(rows)
        self._db.executemany(
            "DELETE FROM contact WHERE file = ? AND number = ?", [(file, row[0]) for row in before - now]
        )
        self._db.executemany(_INSERT, [(file, shelf, *row) for row in now - before])

    def _forget(self, file: int) -> None:
        self._db.execute("DELETE FROM contact WHERE file = ?", (file,))
        self._db.execute("DELETE FROM file WHERE id = ?", (file,))

    # Folders

    def _abandoned_folders(self) -> list[bytes]:
        """Other folders that were asked for once and are no more."""
        folders = self._db.execute("SELECT DISTINCT folder FROM shelf WHERE folder <> ?", (self._folder,))
        return [folder for (folder,) in folders.fetchall() if not os.path.isdir(folder)]  # noqa: PTH112 (bytes)

    def _forget_folder(self, folder: bytes) -> None:
        files = self._db.execute(
            "SELECT file.id FROM file JOIN shelf ON shelf.id = shelf WHERE folder = ? AND source = ?",
            (folder, FROM_JOURNAL),
        ).fetchall()
        for (file,) in files:
            self._forget(file)
        self._db.execute(
            "DELETE FROM shelf WHERE folder = ? AND id NOT IN (SELECT shelf FROM file)", (folder,)
        )
