"""The journal file: append under a lock, follow what others append, recover a torn end.

Any number of processes may have the file open; there is no daemon. An appender takes the lock, reads what
the others added (the chain needs the last sum), writes its lines in one call and lets go.
"""

from __future__ import annotations

import errno
import os
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from msgspec import Struct

from fieldtui.journal.chain import Damage
from fieldtui.journal.disk import Disk
from fieldtui.journal.errors import NotAJournalError, NotSavedError, disk_words
from fieldtui.journal.event_types import Event
from fieldtui.journal.events import JournalRecovered
from fieldtui.journal.line import Envelope, checked_data, encode_data, encode_line, kind_of
from fieldtui.journal.open_file import OpenFile, moved_half_way
from fieldtui.journal.stamp import Stamp
from fieldtui.journal.tail import Tail
from fieldtui.journal.taken_back import TakenBack

_FIRST_BYTES = b'{"seq":1,"at":"'
_Encoded = tuple[Stamp, str, bytes]


class Draft(Struct, frozen=True):
    """An event that is not in the file yet."""

    stamp: Stamp
    event: Event


class Batch(Struct, frozen=True):
    """Lines in file order. `restarted`: forget what was folded before, all lines follow once more.

    So it is when the file was `replaced` or cut, and when an act was taken back or brought back: its lines then come
    under another kind, see `journal/taken_back.py`.
    """

    envelopes: list[Envelope]
    restarted: bool = False
    replaced: bool = False


class Recovery(Struct, frozen=True):
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
        self._recovery_told = False
        self._disk = disk or Disk()
        self._file = OpenFile(path, writable=writable, disk=self._disk, stands_for=moved_half_way(path))
        self._tail = Tail()
        self._taken_back = TakenBack()
        self._due_again = False
        """Whether all lines are to be handed out once more; a read that failed meanwhile must not lose that."""
        self._unseen: list[Batch] = []
        self._unsynced: dict[tuple[int, int], _Encoded] = {}
        self._restarted = False

    @property
    def damage(self) -> list[Damage]:
        """Places where the file is not what was written, as far as it was read."""
        return self._tail.chain.damage

    @property
    def lines(self) -> int:
        """How many lines were read."""
        return self._tail.chain.lines

    @property
    def bytes_read(self) -> int:
        """How much of the file was read."""
        return self._tail.offset

    @property
    def unfinished_bytes(self) -> int:
        """Bytes after the last line end: a line that is being written, or a torn one."""
        return len(self._tail.unfinished)

    def close(self) -> None:
        """Let go of the file. What was not synced is left to the operating system."""
        self._file.close()

    def open_again(self) -> None:
        """After `close`: go on where reading and writing stood; a file that is open stays so.

        Raises:
            NotSavedError: it is not there, or cannot be opened; none is made in its place.
        """
        if not self._file.closed:
            return
        try:
            self._file.open_again()
        except FileNotFoundError as error:
            # Where the disk was mounted is a bare folder now: what was written there would be hidden later.
            raise NotSavedError(f"{self.path.name} is not there now: mount its disk again") from error
        except OSError as error:
            raise NotSavedError(disk_words(error)) from error

    def __enter__(self) -> Journal:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    # Following

    def follow(self) -> Iterator[Batch]:
        """What was added since the last call, in batches that fit in memory; an unfinished line waits."""
        if self._was_replaced():
            self._start_again()
        yield from self._hand_out()
        yield from self._news()

    def _hand_out(self) -> Iterator[Batch]:
        """What was read already, on the way to appending."""
        unseen, self._unseen = self._unseen, []
        lines = (envelope for batch in unseen for envelope in batch.envelopes)
        self._due_again |= self._taken_back.changed_by(lines, self._tail.offset)
        if self._due_again:
            yield from self._all_again()
            return
        for batch in unseen:
            yield Batch(self._taken_back.marked(batch.envelopes), batch.restarted, batch.replaced)

    def _news(self) -> Iterator[Batch]:
        """What was not read yet."""
        for envelopes in self._tail.read(self._file.read_at):
            self._due_again = self._taken_back.changed_by(envelopes, self._tail.offset)
            if self._due_again:
                yield from self._all_again()
                return
            yield Batch(self._taken_back.marked(envelopes))

    def _all_again(self) -> Iterator[Batch]:
        """An act was taken back or brought back: every line once more, now that it is known which stand."""
        for envelopes in self._tail.read(self._file.read_at):
            self._taken_back.changed_by(envelopes, self._tail.offset)
        self._tail, self._due_again = Tail(), False
        yield Batch([], restarted=True)
        yield from self._news()

    def _was_replaced(self) -> bool:
        """Whether the name now means another file, or the file no longer holds what was read from it."""
        file, tail = self._file, self._tail
        return file.renamed or file.size < tail.offset or not tail.still_stands(file.read_at)

    def _start_again(self) -> None:
        self._file.reopen()
        self._tail, self._taken_back = Tail(), TakenBack()
        self._unseen, self._due_again = [Batch([], restarted=True, replaced=True)], False
        self._restarted = True

    # Appending

    def append(self, drafts: Sequence[Draft]) -> list[Batch]:
        """Write events in one step; returns all that is new in the file, these lines last.

        They survive the end of this program; only `sync` makes them survive a power cut. If a torn end had
        to be moved aside, a line that says so comes before them.

        Raises:
            NotSavedError: nothing of this call is in the file; keep the drafts and try again.
            OutOfBoundsError: neither is it, and trying again is of no use.
            JournalBusyError: another program holds the lock.
            NotAJournalError: the file holds something else, and was not touched.
        """
        encoded = [(draft.stamp, kind_of(draft.event), checked_data(draft.event)) for draft in drafts]
        with _in_words():
            self._restore_if_removed()
            with self._locked():
                self._catch_up()
                if encoded:
                    self._write_lines([*self._recovery_line(encoded[0][0]), *encoded])
                    self._recovery_told = True
        return [*self._hand_out()]

    def sync(self) -> None:
        """Everything written so far is on the disk when this returns.

        The kernel forgets what it could not write, so after a failure a second try on the same file would
        prove nothing: the lines are then copied to a fresh file under the same name.

        Raises:
            NotSavedError: the lines are written but not safe; call again later, do not write them again.
        """
        with _in_words():
            self._restore_if_removed()
            self._file.sync(self._leave_suspect_file)
            if self._unsynced and (self._restarted or self._was_replaced()):
                self._write_lost_again()
                self._file.sync(self._leave_suspect_file)
        self._unsynced.clear()
        self._restarted = False

    @contextmanager
    def _locked(self) -> Iterator[None]:
        """The lock of the file that the name means now."""
        while True:
            with self._file.locked():
                if not self._was_replaced():
                    yield
                    return
            # Somebody moved the journal to a fresh file while this one waited for the lock.
            self._start_again()

    def _catch_up(self) -> None:
        """Under the lock: read what others added, and mend the end of the file."""
        self._read_on()
        self._refuse_other_files()
        if self._tail.lacks_line_end:
            self._file.write_whole(b"\n")
            self._read_on()
        if (start := self._tail.ragged_from) is not None:
            self._move_aside(start)

    def _read_on(self) -> None:
        for envelopes in self._tail.read(self._file.read_at):
            self._unseen.append(Batch(envelopes))

    def _refuse_other_files(self) -> None:
        chain, unfinished = self._tail.chain, self._tail.unfinished
        if chain.kept:
            return
        start = self._file.read_at(len(_FIRST_BYTES), 0).strip(b"\0")
        only_zeros = not start and not chain.lines and not unfinished.strip(b"\0")
        one_line = chain.lines + bool(unfinished) == 1 and not self._tail.overlong
        if not (only_zeros or (one_line and start and _FIRST_BYTES.startswith(start))):
            raise NotAJournalError(f"{self.path.name} is not a journal of this program: name another file")

    def _recovery_line(self, stamp: Stamp) -> list[_Encoded]:
        if self.recovery is None or self._recovery_told:
            return []
        event = JournalRecovered(torn_bytes=self.recovery.torn_bytes, moved_to=self.recovery.moved_to.name)
        return [(stamp, kind_of(event), encode_data(event))]

    def _write_lines(self, encoded: Sequence[_Encoded]) -> None:
        chain = self._tail.chain
        seq, seed, lines, unsynced = chain.last_seq, chain.seed, [], {}
        for one in encoded:
            seq += 1
            line, seed = encode_line(seq, *one, seed)
            lines.append(line)
            unsynced[seq, seed] = one
        written = b"".join(lines)
        if not self._file.size and len(lines) > 1:
            self._file.write_first(lines[0], written[len(lines[0]) :])
        else:
            self._file.write_whole(written)
        # Not read back: an error while reading must not make lines that are in the file look unwritten.
        self._unseen.append(Batch(self._tail.take(written[:-1], b"\n")))
        self._unsynced |= unsynced

    def _write_lost_again(self) -> None:
        """Whoever replaced the file may not have had the last lines, which nobody was told are safe."""
        with self._locked():
            self._catch_up()
            with Journal(self.path, writable=False, disk=self._disk) as there:
                found = {(e.seq, int(e.sum, 16)) for batch in there.follow() for e in batch.envelopes}
            lost = {key: one for key, one in self._unsynced.items() if key not in found}
            if lost:
                self._write_lines([*lost.values()])
            for key in lost:
                del self._unsynced[key]

    # Recovering

    def recover(self) -> list[Batch]:
        """Take the lock, read everything and move a torn end aside; see `recovery`.

        Raises:
            NotSavedError: the disk refuses.
            NotAJournalError: the file holds something else.
        """
        with _in_words(), self._locked():
            self._catch_up()
        return [*self._hand_out()]

    def _move_aside(self, start: int) -> None:
        """Under the lock: put the bytes from `start` on into NAME.torn, and cut them off."""
        moved_to = self.path.with_name(self.path.name + ".torn")
        self.recovery = Recovery(self._file.move_aside(start, moved_to), moved_to)
        self._recovery_told = False
        if start == self._tail.offset:
            self._tail.unfinished = b""
            return
        # The same lines once more, without the damaged ones at the end: they tell nothing new.
        tail = Tail()
        for _ in tail.read(self._file.read_at):
            pass
        self._tail = tail
        self._taken_back.end_at(tail.offset)

    def _restore_if_removed(self) -> None:
        """The name is gone, but the open file still holds every line: write them back under the name."""
        if self.path.exists():
            return
        with self._file.locked():
            # Another program that has the same file open may have been quicker.
            if not self.path.exists():
                self._file.move_to_fresh_file(self._refuse_bad_copy)

    def _leave_suspect_file(self) -> None:
        with self._file.locked():
            # Whoever moved the journal did so under this lock, and took along what was written.
            if not self._was_replaced():
                self._file.move_to_fresh_file(self._refuse_bad_copy)

    def _refuse_bad_copy(self, fresh: Path) -> None:
        """The kernel may have dropped the pages that it could not write, and read old ones instead."""
        with Journal(fresh, writable=False, disk=self._disk) as copy:
            for _ in copy.follow():
                pass
            if copy.lines < self.lines or len(copy.damage) > len(self.damage):
                raise OSError(errno.EIO, os.strerror(errno.EIO))


@contextmanager
def _in_words() -> Iterator[None]:
    try:
        yield
    except OSError as error:
        raise NotSavedError(disk_words(error)) from error
