"""The end of the file after a power cut, damage elsewhere, and files that are something else."""

from __future__ import annotations

from pathlib import Path

import pytest

from fieldtui.journal.disk import Disk
from fieldtui.journal.errors import NotAJournalError, NotSavedError
from fieldtui.journal.events import JournalRecovered
from fieldtui.journal.file import Journal
from fieldtui.journal.line import MOST_LINE_BYTES
from fieldtui.journal.verify import verify
from tests.journal.faults import WatchedDisk
from tests.journal.making import Follower, contact, draft, lines_of, outing, raw_line, read, torn, write

LINES = lines_of(outing())
WHOLE = b"".join(LINES)


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

    class Hurried(Disk):
        def sync(self, descriptor: int) -> None:
            """Two thousand files, none of which has to live through a power cut."""

    disk = Hurried()
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
