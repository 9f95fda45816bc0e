"""The journal file: appending, following, and the lock."""

from __future__ import annotations

import fcntl
import os
import threading
from pathlib import Path

import pytest

from fieldtui.journal import disk as disk_module
from fieldtui.journal.disk import Disk
from fieldtui.journal.errors import JournalBusyError, NotSavedError, disk_words
from fieldtui.journal.events import NoteWritten
from fieldtui.journal.file import Journal
from fieldtui.journal.line import MOST_LINE_BYTES
from fieldtui.journal.verify import verify
from tests.journal.faults import FaultyDisk, WatchedDisk
from tests.journal.making import Follower, contact, draft, lines_of, outing, read, write

LINES = lines_of(outing())
WHOLE = b"".join(LINES)


# Appending and following


def test_a_new_journal_is_made_and_holds_what_was_appended(path: Path) -> None:
    write(path, outing())
    assert path.read_bytes() == WHOLE
    assert read(path).events == outing()


def test_appending_nothing_writes_nothing(path: Path) -> None:
    with Journal(path) as journal:
        assert journal.append([]) == []
    assert path.read_bytes() == b""


def test_a_folder_that_is_not_there_is_said(path: Path) -> None:
    with pytest.raises(FileNotFoundError) as refusal:
        Journal(path.parent / "gone" / path.name)
    assert disk_words(refusal.value) == "the folder is gone: put it back or name another --journal"


def test_two_journals_of_one_process_chain_on(path: Path) -> None:
    """The lock and the chain hold between descriptors of the same process too."""
    with Journal(path) as one, Journal(path) as two:
        for number in range(0, 20, 2):
            one.append([draft(contact(number))])
            two.append([draft(contact(number + 1))])
    found = read(path)
    assert [event.id for event in found.events] == [f"c{number:04}" for number in range(20)]  # type: ignore[union-attr]
    assert verify(path).sound


def test_append_gives_what_others_wrote_and_then_its_own(path: Path) -> None:
    with Journal(path) as one, Journal(path) as two:
        two.append([draft(contact(1)), draft(contact(2))])
        seen = Follower()
        seen.take(one.append([draft(contact(3))]))
        assert seen.seqs == [1, 2, 3]
        seen.take(one.follow())
        assert seen.seqs == [1, 2, 3]
        seen.take(two.follow())
        assert seen.seqs == [1, 2, 3, 3]


def test_a_refused_append_does_not_swallow_what_others_wrote(path: Path) -> None:
    """With the disk full, the other program's lines are still shown."""
    disk = FaultyDisk(10_000, "full")
    with Journal(path, disk=disk) as mine, Journal(path) as other:
        other.append([draft(contact(1))])
        disk.fail_from_here()
        with pytest.raises(NotSavedError):
            mine.append([draft(contact(2))])
        seen = Follower()
        seen.take(mine.follow())
        assert seen.seqs == [1]
        disk.heal()
        seen.take(mine.append([draft(contact(2))]))
        assert seen.seqs == [1, 2]


def test_a_follower_sees_every_line_once_while_it_is_written(path: Path) -> None:
    """Two writers in threads, three readers that poll meanwhile, one of them with a slow eye."""
    writers = [threading.Thread(target=_write_many, args=(path, start)) for start in (0, 1000)]
    Journal(path).close()
    with Journal(path, writable=False) as one, Journal(path, writable=False) as two, Journal(path) as three:
        seen = [(one, Follower()), (two, Follower()), (three, Follower())]
        for thread in writers:
            thread.start()
        while any(thread.is_alive() for thread in writers):
            for journal, follower in seen[:2]:
                follower.take(journal.follow())
        for journal, follower in seen:
            follower.take(journal.follow())
            assert follower.seqs == list(range(1, 201))
            assert follower.restarts == 0
            assert journal.damage == []


def _write_many(path: Path, start: int) -> None:
    with Journal(path) as journal:
        for number in range(50):
            journal.append([draft(contact(start + number)), draft(NoteWritten(text="n" * (number * 40)))])


def test_a_line_that_is_being_written_waits_for_its_end(path: Path) -> None:
    path.write_bytes(LINES[0])
    with Journal(path, writable=False) as journal, path.open("ab") as file:
        seen = Follower()
        seen.take(journal.follow())
        for byte in LINES[1][:-1]:
            file.write(bytes([byte]))
            file.flush()
            seen.take(journal.follow())
            assert seen.seqs == [1]
        assert journal.unfinished_bytes == len(LINES[1]) - 1
        file.write(b"\n")
        file.flush()
        seen.take(journal.follow())
        assert seen.seqs == [1, 2]
        assert journal.unfinished_bytes == 0


def test_a_journal_longer_than_a_chunk_is_read_whole(path: Path) -> None:
    """Chunks end anywhere, inside characters of several bytes too."""
    notes = [NoteWritten(text="Ⴊ" * 2900) for _ in range(100)]
    write(path, notes)
    assert path.stat().st_size > 3 * MOST_LINE_BYTES
    assert read(path).seqs == list(range(1, 101))
    with Journal(path) as journal:
        journal.append([draft(contact(1))])
    assert verify(path).sound


# The lock


def test_a_lock_that_is_never_let_go_is_told_and_nothing_is_written(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A stopped program that holds the lock must not freeze this one."""
    monkeypatch.setattr(disk_module, "LOCK_SECONDS", 0.05)
    write(path, outing())
    holder = Disk()
    descriptor = holder.open(path, writable=True)
    holder.lock(descriptor, path)
    with Journal(path) as journal:
        with pytest.raises(JournalBusyError, match="is held by another program"):
            journal.append([draft(contact(9))])
        holder.unlock(descriptor)
        journal.append([draft(contact(9))])
    holder.close(descriptor)
    assert read(path).seqs == [1, 2, 3, 4, 5, 6]


def test_closing_another_descriptor_of_the_file_keeps_the_lock(path: Path) -> None:
    """`flock`, not a POSIX record lock, which any close would drop (fcntl(2), Advisory record locking)."""
    refused = []

    class ClosingDisk(WatchedDisk):
        def write(self, descriptor: int, data: bytes) -> int:
            other = os.open(path, os.O_RDWR)
            os.close(os.open(path, os.O_RDONLY))
            with pytest.raises(BlockingIOError):
                fcntl.flock(other, fcntl.LOCK_EX | fcntl.LOCK_NB)
            os.close(other)
            refused.append(data)
            return super().write(descriptor, data)

    write(path, [contact(1)], disk=ClosingDisk())
    assert len(refused) == 1
