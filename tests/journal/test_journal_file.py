"""The journal file: appending, following, recovering, and files that are moved, cut or are something else."""

from __future__ import annotations

import fcntl
import os
import threading
from pathlib import Path

import pytest

from fieldtui.journal import disk as disk_module
from fieldtui.journal.disk import Disk
from fieldtui.journal.errors import JournalBusyError, NotAJournalError, NotSavedError, disk_words
from fieldtui.journal.events import JournalRecovered, NoteWritten
from fieldtui.journal.file import Journal
from fieldtui.journal.line import MOST_LINE_BYTES
from fieldtui.journal.verify import verify
from tests.journal.faults import FaultyDisk, WatchedDisk
from tests.journal.making import Follower, contact, draft, lines_of, outing, raw_line, read, write

LINES = lines_of(outing())
WHOLE = b"".join(LINES)


@pytest.fixture(name="path")
def _path(tmp_path: Path) -> Path:
    return tmp_path / "2026-06-14-1703-larkspur-ridge.jsonl"


def torn(path: Path) -> Path:
    """Where torn ends go."""
    return path.with_name(path.name + ".torn")


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
        disk._nth = disk._calls
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


# Recovering at open


@pytest.mark.parametrize("length", [1, 7, 60, len(LINES[4]) - 20, len(LINES[4]) - 2])
def test_a_torn_end_is_moved_beside_the_journal_and_told(path: Path, length: int) -> None:
    path.write_bytes(b"".join(LINES[:4]) + LINES[4][:length])
    with Journal(path, disk=WatchedDisk()) as journal:
        seen = Follower()
        seen.take(journal.recover())
        assert seen.seqs == [1, 2, 3, 4]
        assert seen.restarts == 0
        assert journal.recovery is not None
        assert (journal.recovery.torn_bytes, journal.recovery.moved_to) == (length, torn(path))
        assert torn(path).read_bytes() == LINES[4][:length] + b"\n"
        assert path.read_bytes() == b"".join(LINES[:4])
        journal.append([draft(contact(7))])
    assert verify(path).sound
    told = JournalRecovered(torn_bytes=length, moved_to=torn(path).name)
    assert read(path).events == [*outing()[:4], told, contact(7)]


def test_recovering_needs_no_call_of_its_own(path: Path) -> None:
    """`append` mends the end first; the line that says so stands before the new ones, and only once."""
    path.write_bytes(WHOLE + b'{"seq"')
    with Journal(path) as journal:
        journal.append([draft(contact(7))])
        journal.append([draft(contact(8))])
    kinds = [envelope.kind for envelope in read(path).envelopes[5:]]
    assert kinds == ["journal-recovered", "contact-logged", "contact-logged"]


def test_every_torn_end_is_kept(path: Path) -> None:
    """NAME.torn collects; nothing is overwritten."""
    path.write_bytes(WHOLE)
    for end in (b'{"seq":6,"at"', b'{"seq":7,"at":"2026', b"\0\0\0"):
        with path.open("ab") as file:
            file.write(end)
        with Journal(path) as journal:
            journal.recover()
            journal.append([draft(contact(1))])
    assert torn(path).read_bytes() == b'{"seq":6,"at"\n{"seq":7,"at":"2026\n\0\0\0\n'
    assert verify(path).sound


def test_an_end_of_zeros_longer_than_any_line_is_torn(path: Path) -> None:
    """ext4 and others may leave zeros after a power cut."""
    path.write_bytes(WHOLE + b"\0" * (3 * MOST_LINE_BYTES + 17))
    with Journal(path, disk=WatchedDisk()) as journal:
        journal.append([draft(contact(7))])
    assert read(path).seqs == [1, 2, 3, 4, 5, 6, 7]
    assert verify(path).sound
    assert torn(path).stat().st_size == 3 * MOST_LINE_BYTES + 17 + 1


def test_a_whole_last_line_without_its_end_gets_it(path: Path) -> None:
    path.write_bytes(WHOLE[:-1])
    with Journal(path, disk=WatchedDisk()) as journal:
        seen = Follower()
        seen.take(journal.recover())
        assert seen.seqs == [1, 2, 3, 4, 5]
        assert journal.recovery is None
    assert path.read_bytes() == WHOLE
    assert not torn(path).exists()


@pytest.mark.parametrize("damaged", [1, 2, 4])
def test_damaged_last_lines_are_moved_aside_together(path: Path, damaged: int) -> None:
    """A page of the card that was lost takes several lines; the chain goes on from the last sound one."""
    sound = 5 - damaged
    content = b"".join(LINES[:sound]) + b"".join(line.replace(b"2026", b"2O26") for line in LINES[sound:])
    path.write_bytes(content)
    with Journal(path, disk=WatchedDisk()) as journal:
        seen = Follower()
        seen.take(journal.follow())
        seen.take(journal.append([draft(contact(7))]))
        assert seen.seqs == [*range(1, sound + 3)]
        assert seen.restarts == 0
        assert journal.damage == []
    assert torn(path).read_bytes() == content[len(b"".join(LINES[:sound])) :]
    assert verify(path).sound


def test_damage_in_the_middle_is_never_rewritten(path: Path) -> None:
    content = WHOLE.replace(b"Joss Hill", b"Joss HilL")
    path.write_bytes(content)
    with Journal(path) as journal:
        journal.append([draft(contact(7))])
        assert [place.line for place in journal.damage] == [2]
    assert path.read_bytes().startswith(content)
    assert not torn(path).exists()
    assert read(path).seqs == [1, 3, 4, 5, 6]


def test_last_lines_that_are_kept_in_spite_of_damage_stay(path: Path) -> None:
    """Joined by a damaged line end, or not provable since the line before lost its sum: shown, so they stay."""
    joined = b"".join(LINES[:3]) + LINES[3][:-1] + b"\x0b" + LINES[4]
    unproved = b"".join(LINES[:3]) + b"\0" * 30 + b"\n" + LINES[4]
    for content, seqs in ((joined, [1, 2, 3, 4, 5, 6]), (unproved, [1, 2, 3, 5, 6])):
        path.write_bytes(content)
        with Journal(path) as journal:
            journal.append([draft(contact(7))])
        assert path.read_bytes().startswith(content)
        assert read(path).seqs == seqs
    assert not torn(path).exists()


def test_a_damaged_only_line_stays_where_it_is(path: Path) -> None:
    """Moving it aside would leave nothing that says what the file is."""
    path.write_bytes(LINES[0].replace(b"Larkspur", b"larkspur"))
    with Journal(path) as journal:
        journal.append([draft(contact(7))])
    assert read(path).damaged_lines == [1]
    assert len(read(path).envelopes) == 1


@pytest.mark.parametrize(
    "content",
    [LINES[0][:40], b'{"s', b"{", b"\0" * 100, b'{"seq":1,\0\0\0\0\0'],
    ids=["forty bytes", "three bytes", "one byte", "zeros", "zeros after a beginning"],
)
def test_a_first_line_that_was_torn_is_moved_aside(path: Path, content: bytes) -> None:
    path.write_bytes(content)
    with Journal(path) as journal:
        journal.append([draft(contact(7))])
        assert journal.recovery
    assert torn(path).read_bytes() == content + b"\n"
    assert read(path).seqs == [1, 2]


def test_every_flipped_byte_of_a_journal_that_is_then_written_on(path: Path) -> None:
    """Whatever byte the card changed: appending works at once, and no other line is lost."""
    disk = Disk()
    disk.sync = lambda _: None  # type: ignore[method-assign]
    for position in range(0, len(WHOLE), 5):
        content = bytearray(WHOLE)
        content[position] ^= 0x20
        path.write_bytes(content)
        with Journal(path, disk=disk) as journal:
            journal.append([draft(contact(7))])
        line = WHOLE[:position].count(b"\n") + 1
        others = {event.__class__ for number, event in enumerate(outing(), 1) if number != line}
        found = read(path)
        assert others <= {event.__class__ for event in found.events}, position
        assert contact(7) in found.events, position


# Files that are something else


FOREIGN = {
    "text": b"Dear diary\nit rained\n",
    "one word": b"x",
    "other JSON": b'{"sequence":1}\n',
    "other JSON lines": b'{"seq":1,"what":"start"}\n{"seq":2,"what":"stop"}\n',
    "other JSON lines, unfinished": b'{"seq":1,"at":"2026-06-14T17:03:22Z"}\n{"seq":2,"at":"2026-06',
    "picture": b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR\n\n\n",
    "disk image": b"\0" * 600_000 + b"\nCD001",
    "begins with zeros": b"\0\0\0\x18ftypmp42\0\0",
    "ends with zeros": b"x\0\0\0",
    "line ends of another system": WHOLE.replace(b"\n", b"\r\n"),
    "huge line": b'{"seq":1,"at":"' + b"x" * 600_000,
    "huge line and more": b'{"seq":1,"at":"' + b"x" * 600_000 + b"\nx",
}


@pytest.mark.parametrize("content", FOREIGN.values(), ids=FOREIGN.keys())
def test_what_is_no_journal_is_refused_and_left_untouched(path: Path, content: bytes) -> None:
    path.write_bytes(content)
    with Journal(path) as journal:
        for attempt in (journal.recover, lambda: journal.append([draft(contact(1))])):
            with pytest.raises(NotAJournalError, match="is not a journal of this program: name another file"):
                attempt()
    assert path.read_bytes() == content
    assert [each.name for each in path.parent.iterdir()] == [path.name]
    assert read(path).envelopes == []
    assert not verify(path).sound


def test_reading_never_makes_or_changes_a_file(path: Path) -> None:
    with pytest.raises(FileNotFoundError):
        Journal(path, writable=False)
    path.write_bytes(WHOLE[:-20])
    before = path.stat()
    read(path)
    verify(path)
    assert path.read_bytes() == WHOLE[:-20]
    assert path.stat().st_mtime_ns == before.st_mtime_ns
    assert [each.name for each in path.parent.iterdir()] == [path.name]


def test_a_journal_opened_for_reading_takes_nothing(path: Path) -> None:
    write(path, outing())
    with Journal(path, writable=False) as journal, pytest.raises(NotSavedError):
        journal.append([draft(contact(1))])
    assert path.read_bytes() == WHOLE


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
        disk._nth = disk._calls
        disk.fired.append("from here on")
        for _ in range(3):
            with pytest.raises(NotSavedError, match="the disk fails"):
                journal.sync()
        disk.heal()
        journal.sync()
        journal.append([draft(contact(2))])
    assert read(path).events == [contact(1), contact(2)]


# Numbers that this version cannot have written


def test_lines_of_a_newer_version_stay_and_are_built_on(path: Path) -> None:
    first, seed = raw_line(1, "moon-risen", b'{"azimuth_deg":93}', 0)
    second, _ = raw_line(2, "tide-turned", b"null", seed)
    path.write_bytes(first + second)
    with Journal(path) as journal:
        journal.append([draft(contact(1))])
    assert path.read_bytes().startswith(first + second)
    assert [envelope.kind for envelope in read(path).envelopes] == [
        "moon-risen",
        "tide-turned",
        "contact-logged",
    ]
