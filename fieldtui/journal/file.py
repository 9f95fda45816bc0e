"""The journal file: append under a lock, follow what others append, recover a torn end.

Any number of processes may have the file open; there is no daemon. An appender takes the lock, reads what
the others added (the chain needs the last sum), writes its lines in one call and lets go.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from fieldtui.journal.chain import Chain, Damage
from fieldtui.journal.disk import Disk
from fieldtui.journal.errors import NotAJournalError, NotSavedError, disk_words
from fieldtui.journal.events import Event
from fieldtui.journal.line import MOST_LINE_BYTES, Envelope, encode_data, encode_line, kind_of
from fieldtui.journal.stamp import Stamp

CHUNK_BYTES = MOST_LINE_BYTES
_FIRST_BYTES = b'{"seq":'


@dataclass(frozen=True, slots=True)
class Draft:
    """An event that is not in the file yet."""

    stamp: Stamp
    event: Event


@dataclass(frozen=True, slots=True)
class Batch:
    """Lines in file order. `restarted`: the file was replaced or cut, forget what was folded before."""

    envelopes: list[Envelope]
    restarted: bool = False


@dataclass(frozen=True, slots=True)
class Recovery:
    """What had to be moved aside when the file was opened for writing."""

    torn_bytes: int
    moved_to: Path


class Journal:
    """One journal file, open for following and, if `writable`, for appending."""

    def __init__(self, path: Path, *, writable: bool = True, disk: Disk | None = None) -> None:
        """Open the file, and make it if it is to be written and is not there.

        Raises:
            OSError: it cannot be opened; `disk_words` puts it in words.
        """
        self.path = path
        self.writable = writable
        self.recovery: Recovery | None = None
        self._disk = disk or Disk()
        self._descriptor = -1
        self._folder_synced = False
        self._suspect = False
        self._begin(create=writable)

    @property
    def damage(self) -> list[Damage]:
        """Places where the file is not what was written, as far as it was read."""
        return self._chain.damage

    @property
    def lines(self) -> int:
        """How many lines were read."""
        return self._chain.lines

    @property
    def unfinished_bytes(self) -> int:
        """Bytes after the last line end: a line that is being written, or a torn one."""
        return len(self._unfinished)

    def _begin(self, *, create: bool) -> None:
        self._descriptor = self._disk.open(self.path, writable=self.writable, create=create)
        self._inode = os.fstat(self._descriptor).st_ino
        self._chain = Chain()
        self._offset = 0
        self._last_line_start = 0
        self._unfinished = b""

    def close(self) -> None:
        """Let go of the file. What was not synced is left to the operating system."""
        if self._descriptor >= 0:
            self._disk.close(self._descriptor)
            self._descriptor = -1

    def __enter__(self) -> Journal:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    # Following

    def follow(self) -> Iterator[Batch]:
        """What was added since the last call, in batches that fit in memory; an unfinished line waits."""
        if self._was_replaced():
            self._reopen()
            yield Batch([], restarted=True)
        while chunk := self._disk.read_at(self._descriptor, CHUNK_BYTES, self._offset):
            whole, end, self._unfinished = chunk.rpartition(b"\n")
            if not end:
                if len(chunk) < CHUNK_BYTES:
                    return
                # No line of ours is that long: take it as damage, so that memory stays bounded.
                whole, self._unfinished = chunk, b""
            yield Batch(list(self._take(whole, len(end))))
        self._unfinished = b""

    def _take(self, whole: bytes, end_bytes: int) -> Iterator[Envelope]:
        # Split on the line feed only: splitlines would also split inside texts, at U+2028 and others.
        # The offset stays at the start of an unfinished line: another writer may cut that off.
        lines = whole.split(b"\n")
        self._offset += len(whole) + end_bytes
        self._last_line_start = self._offset - end_bytes - len(lines[-1])
        for line in lines:
            yield from self._chain.take(line)

    def _was_replaced(self) -> bool:
        """Whether the name now means another file, or the file became shorter than what was read."""
        try:
            there = self.path.stat()
        except FileNotFoundError:
            return False
        return there.st_ino != self._inode or os.fstat(self._descriptor).st_size < self._offset

    def _reopen(self) -> None:
        self.close()
        self._begin(create=self.writable)

    # Appending

    def append(self, drafts: Sequence[Draft]) -> list[Batch]:
        """Write events in one step; returns all that is new in the file, these lines last.

        They survive the end of this program; only `sync` makes them survive a power cut.

        Raises:
            NotSavedError: nothing of this call is in the file; keep the drafts and try again.
            JournalBusyError: another program holds the lock.
        """
        encoded = [(draft.stamp, kind_of(draft.event), encode_data(draft.event)) for draft in drafts]
        with _in_words():
            self._restore_if_removed()
            with self._locked():
                news = [*self._caught_up()]
                self._write_whole(self._encode_lines(encoded))
                return [*news, *self.follow()]

    def sync(self) -> None:
        """Everything written so far is on the disk when this returns.

        The kernel forgets what it could not write, so after a failure a second try on the same file would
        prove nothing: the lines are then copied to a fresh file under the same name.

        Raises:
            NotSavedError: the lines are written but not safe; call again later, do not write them again.
        """
        with _in_words():
            if not self._suspect:
                try:
                    self._disk.sync(self._descriptor)
                except OSError:
                    self._suspect = True
            if self._suspect:
                self._move_to_fresh_file(keep_old=True)
                self._suspect = False
            if not self._folder_synced:
                self._disk.sync_folder(self.path.parent)
                self._folder_synced = True

    @contextmanager
    def _locked(self) -> Iterator[None]:
        while True:
            self._disk.lock(self._descriptor, self.path)
            if not self._was_replaced():
                break
            # Somebody moved the journal to a fresh file while this one waited for the lock.
            self._disk.unlock(self._descriptor)
            self._reopen()
        held = self._descriptor
        try:
            yield
        finally:
            if held == self._descriptor:
                self._disk.unlock(held)

    def _caught_up(self) -> Iterator[Batch]:
        yield from self.follow()
        self._refuse_other_files()
        last_line_damaged = bool(self.damage) and self.damage[-1].line == self._chain.lines
        if self._unfinished and self._is_whole(self._unfinished):
            self._write_whole(b"\n")
            yield from self.follow()
        elif last_line_damaged and self._chain.lines > 1:
            self._move_aside(self._last_line_start)
            self._reopen()
            yield Batch([], restarted=True)
            yield from self.follow()
        elif self._unfinished:
            self._move_aside(self._offset)

    def _refuse_other_files(self) -> None:
        start = self._disk.read_at(self._descriptor, len(_FIRST_BYTES), 0).lstrip(b"\0")
        if not self._chain.last_seq and not _FIRST_BYTES.startswith(start):
            raise NotAJournalError(f"{self.path.name} is not a journal of this program: name another file")

    def _encode_lines(self, encoded: Sequence[tuple[Stamp, str, bytes]]) -> bytes:
        seq, seed, lines = self._chain.last_seq, self._chain.seed, []
        for stamp, kind, data in encoded:
            seq += 1
            line, seed = encode_line(seq, stamp, kind, data, seed)
            lines.append(line)
        return b"".join(lines)

    def _write_whole(self, data: bytes) -> None:
        """All or nothing: a full disk takes a part of a line without an error, and that is cut off again."""
        before = os.fstat(self._descriptor).st_size
        done = 0
        try:
            while done < len(data):
                done += self._disk.write(self._descriptor, data[done:])
        except OSError:
            if done:
                self._disk.truncate(self._descriptor, before)
            raise

    # Recovering

    def recover(self) -> list[Batch]:
        """Take the lock, read everything and move a torn end aside; see `recovery`.

        Raises:
            NotSavedError: the disk refuses.
            NotAJournalError: the file holds something else.
        """
        with _in_words(), self._locked():
            return [*self._caught_up()]

    def _move_aside(self, start: int) -> None:
        """Under the lock: put the bytes from `start` on into NAME.torn, and cut them off."""
        torn = self._disk.read_at(self._descriptor, 2 * CHUNK_BYTES, start)
        moved_to = self.path.with_name(self.path.name + ".torn")
        aside = self._disk.open(moved_to, writable=True, create=True)
        try:
            self._disk.write(aside, torn.rstrip(b"\n") + b"\n")
            self._disk.sync(aside)
        finally:
            self._disk.close(aside)
        self._disk.truncate(self._descriptor, start)
        self._disk.sync(self._descriptor)
        self.recovery = Recovery(torn_bytes=len(torn), moved_to=moved_to)
        self._unfinished = b""

    def _is_whole(self, line: bytes) -> bool:
        probe = Chain()
        probe.seed, probe.last_seq = self._chain.seed, self._chain.last_seq
        return bool([*probe.take(line)]) and not probe.damage

    def _restore_if_removed(self) -> None:
        """The name is gone, but the open file still holds every line: write them back under the name."""
        if not self.path.exists():
            self._move_to_fresh_file(keep_old=False)

    def _move_to_fresh_file(self, *, keep_old: bool) -> None:
        """Copy all that the open file holds to a new file and put that under the journal's name."""
        fresh = self.path.with_name(self.path.name + ".fresh")
        fresh.unlink(missing_ok=True)
        descriptor = self._disk.open(fresh, writable=True, create=True)
        try:
            self._disk.lock(descriptor, fresh)
            offset = 0
            while chunk := self._disk.read_at(self._descriptor, CHUNK_BYTES, offset):
                offset += self._disk.write(descriptor, chunk)
            self._disk.sync(descriptor)
            if keep_old:
                self._disk.rename(self.path, self.path.with_name(self.path.name + ".suspect"))
            self._disk.rename(fresh, self.path)
            self._disk.sync_folder(self.path.parent)
        except OSError:
            self._disk.close(descriptor)
            fresh.unlink(missing_ok=True)
            raise
        self._disk.unlock(descriptor)
        self._disk.close(self._descriptor)
        self._descriptor, self._inode = descriptor, os.fstat(descriptor).st_ino
        self._folder_synced = True


@contextmanager
def _in_words() -> Iterator[None]:
    try:
        yield
    except OSError as error:
        raise NotSavedError(disk_words(error)) from error
