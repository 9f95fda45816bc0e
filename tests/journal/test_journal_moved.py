"""Files that are replaced, cut, removed or cannot be synced while the program runs."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from fieldtui.journal.errors import NotSavedError
from fieldtui.journal.file import Journal
from fieldtui.journal.verify import verify
from tests.journal.faults import FaultyDisk, WatchedDisk
from tests.journal.making import Follower, contact, draft, lines_of, outing, read, torn, write

LINES = lines_of(outing())
WHOLE = b"".join(LINES)


# Files that change under the program


def test_a_replaced_file_is_read_anew(path: Path) -> None:
    write(path, outing())
    with Journal(path) as journal:
        seen = Follower()
        seen.take(journal.follow())
        other = path.with_name("other.jsonl")
        write(other, [contact(1), contact(2)])
        other.replace(path)
        seen.take(journal.follow())
        assert (seen.seqs, seen.restarts) == ([1, 2], 1)
        seen.take(journal.append([draft(contact(3))]))
        assert (seen.seqs, seen.restarts) == ([1, 2, 3], 1)
    assert read(path).events == [contact(1), contact(2), contact(3)]


def test_a_file_replaced_just_before_an_append_is_read_anew(path: Path) -> None:
    """Found under the lock, not by following: the consumer is told to forget what it had."""
    write(path, outing())
    with Journal(path) as journal:
        seen = Follower()
        seen.take(journal.follow())
        other = path.with_name("other.jsonl")
        write(other, [contact(1), contact(2)])
        other.replace(path)
        seen.take(journal.append([draft(contact(3))]))
        assert (seen.seqs, seen.restarts) == ([1, 2, 3], 1)


def test_a_cut_file_is_read_anew(path: Path) -> None:
    write(path, outing())
    with Journal(path) as journal:
        seen = Follower()
        seen.take(journal.follow())
        os.truncate(path, len(LINES[0]) + len(LINES[1]))
        seen.take(journal.follow())
        assert (seen.seqs, seen.restarts) == ([1, 2], 1)


@pytest.mark.parametrize("more", [0, 1, 10])
def test_a_file_overwritten_in_place_is_read_anew(path: Path, more: int) -> None:
    """A copy over the same file keeps its inode and may be longer: the bytes before the reading mark tell."""
    write(path, outing())
    with Journal(path) as journal:
        seen = Follower()
        seen.take(journal.follow())
        events = [contact(50 + number) for number in range(5 + more)]
        path.write_bytes(b"".join(lines_of(events, seed=0)))
        seen.take(journal.follow())
        assert seen.seqs == [*range(1, 6 + more)]
        assert seen.restarts == 1
    assert verify(path).sound


def test_a_removed_file_is_written_back_whole(path: Path) -> None:
    """The open descriptor still holds every line."""
    write(path, outing())
    with Journal(path, disk=WatchedDisk()) as journal:
        seen = Follower()
        seen.take(journal.follow())
        path.unlink()
        seen.take(journal.follow())
        assert seen.restarts == 0
        seen.take(journal.append([draft(contact(3))]))
        journal.sync()
        assert (seen.seqs, seen.restarts) == ([1, 2, 3, 4, 5, 6], 0)
    assert read(path).seqs == [1, 2, 3, 4, 5, 6]
    assert verify(path).sound


def test_a_file_removed_before_a_sync_is_written_back(path: Path) -> None:
    """Safe means: under its name."""
    with Journal(path) as journal:
        journal.append([draft(contact(1))])
        path.unlink()
        journal.sync()
    assert read(path).events == [contact(1)]


def test_two_programs_write_a_removed_file_back_once(path: Path) -> None:
    write(path, outing())
    with Journal(path) as one, Journal(path) as two:
        path.unlink()
        one.append([draft(contact(6))])
        two.append([draft(contact(7))])
        one.append([draft(contact(8))])
        seen = Follower()
        seen.take(two.follow())
    assert read(path).seqs == [1, 2, 3, 4, 5, 6, 7, 8]
    assert verify(path).sound


def test_a_folder_that_went_away_is_said_and_comes_back(path: Path) -> None:
    """A card pulled out, in words; pushed in again, all is written."""
    write(path, outing())
    away = path.parent.with_name("away")
    with Journal(path) as journal:
        path.parent.rename(away)
        with pytest.raises(NotSavedError, match="the folder is gone"):
            journal.append([draft(contact(6))])
        away.rename(path.parent)
        journal.append([draft(contact(6))])
    assert read(path).seqs == [1, 2, 3, 4, 5, 6]


def test_a_replacement_that_cannot_be_opened_is_waited_for(path: Path) -> None:
    """The old file stays open until the new one is."""
    write(path, outing())
    with Journal(path) as journal:
        other = path.with_name("other")
        write(other, [contact(1)])
        path.unlink()
        path.mkdir()
        with pytest.raises(NotSavedError, match="that is a folder: name a file"):
            journal.append([draft(contact(2))])
        path.rmdir()
        other.replace(path)
        seen = Follower()
        seen.take(journal.append([draft(contact(2))]))
        assert seen.restarts == 1
    assert read(path).events == [contact(1), contact(2)]


# A sync that fails


class UnsyncableDisk(WatchedDisk):
    """Says once for each descriptor that was open that its data could not be written, as Linux does (fsync(2))."""

    def __init__(self) -> None:
        super().__init__()
        self.failing: set[int] = set()

    def sync(self, descriptor: int) -> None:
        if os.fstat(descriptor).st_ino in self.failing:
            self.note_failed_sync(descriptor)
            raise OSError(5, "Input/output error")
        super().sync(descriptor)


def test_a_failed_sync_moves_the_lines_to_a_fresh_file(path: Path) -> None:
    """The old file is kept as NAME.suspect; the name never means nothing."""
    disk = UnsyncableDisk()
    with Journal(path, disk=disk) as journal:
        seen = Follower()
        seen.take(journal.append([draft(event) for event in outing()]))
        old = path.stat().st_ino
        disk.failing.add(old)
        journal.sync()
        assert path.stat().st_ino != old
        seen.take(journal.append([draft(contact(7))]))
        journal.sync()
        assert (seen.seqs, seen.restarts) == ([1, 2, 3, 4, 5, 6], 0)
    assert path.with_name(path.name + ".suspect").stat().st_ino == old
    assert not path.with_name(path.name + ".fresh").exists()
    assert verify(path).sound


def test_two_programs_whose_syncs_fail_lose_nothing_to_each_other(path: Path) -> None:
    """The slower one finds the journal moved already, with its own lines in it."""
    disk = UnsyncableDisk()
    with Journal(path, disk=disk) as one, Journal(path, disk=disk) as two:
        one.append([draft(contact(1))])
        two.append([draft(contact(2))])
        disk.failing.add(path.stat().st_ino)
        one.sync()
        one.append([draft(contact(3))])
        one.sync()
        two.sync()
        two.append([draft(contact(4))])
        two.sync()
    assert read(path).events == [contact(number) for number in (1, 2, 3, 4)]
    assert verify(path).sound


def test_lines_are_written_again_if_the_file_was_replaced_before_they_were_safe(path: Path) -> None:
    """Somebody put an older copy in place between the write and the sync."""
    write(path, outing())
    older = path.with_name("older.jsonl")
    older.write_bytes(path.read_bytes())
    with Journal(path) as journal:
        seen = Follower()
        seen.take(journal.append([draft(contact(7))]))
        older.replace(path)
        journal.sync()
        seen.take(journal.follow())
        assert seen.seqs == [1, 2, 3, 4, 5, 6]
    assert read(path).events == [*outing(), contact(7)]


def test_a_copy_that_is_not_what_was_read_is_no_rescue(path: Path) -> None:
    """After a failed sync the kernel may give old bytes back: then nothing is called safe."""

    class ForgetfulDisk(UnsyncableDisk):
        forget = False

        def read_at(self, descriptor: int, count: int, offset: int) -> bytes:
            found = super().read_at(descriptor, count, offset)
            return found.replace(b"VE7QRZ", b"\0\0\0\0\0\0") if self.forget else found

    disk = ForgetfulDisk()
    with Journal(path, disk=disk) as journal:
        journal.append([draft(contact(2))])
        disk.failing.add(path.stat().st_ino)
        disk.forget = True
        with pytest.raises(NotSavedError):
            journal.sync()
        disk.forget = False
        journal.sync()
    assert read(path).events == [contact(2)]


def test_a_card_that_syncs_nothing_is_said_each_time(path: Path) -> None:
    disk = FaultyDisk(10_000, "lasting")
    with Journal(path, disk=disk) as journal:
        journal.append([draft(contact(1))])
        disk.fail_from_here()
        for _ in range(3):
            with pytest.raises(NotSavedError, match="the disk fails"):
                journal.sync()
        disk.heal()
        journal.sync()
        journal.append([draft(contact(2))])
    assert read(path).events == [contact(1), contact(2)]


# Whoever may read it


def rights(path: Path) -> int:
    """Of reading and writing."""
    return path.stat().st_mode & 0o777


def test_a_journal_that_is_put_back_is_for_the_same_eyes(path: Path) -> None:
    write(path, outing())
    path.chmod(0o600)
    with Journal(path) as journal:
        path.unlink()
        journal.append([draft(contact(3))])
        journal.sync()
    assert rights(path) == 0o600
    assert read(path).events == [*outing(), contact(3)]


def test_so_is_what_was_cut_off_its_end(path: Path) -> None:
    path.write_bytes(WHOLE[:-20])
    path.chmod(0o640)
    with Journal(path) as journal:
        journal.recover()
    assert rights(torn(path)) == 0o640
