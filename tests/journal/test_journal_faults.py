"""A fault at the first, second, third ... call to the disk, until there is none left to hit."""

from __future__ import annotations

import errno
import itertools
from collections import Counter
from pathlib import Path

import pytest

from fieldtui.journal.errors import JournalError, NotSavedError
from fieldtui.journal.event_types import Event
from fieldtui.journal.events import ContactLogged, NoteWritten
from fieldtui.journal.file import Journal
from fieldtui.journal.verify import verify
from tests.journal.faults import FaultyDisk
from tests.journal.making import Follower, contact, draft, lines_of, outing, read, write

WAYS = [
    ("once", errno.EIO),
    ("once", errno.ENOSPC),
    ("lasting", errno.EIO),
    ("lasting", errno.EROFS),
    ("short", 0),
    ("full", errno.ENOSPC),
    ("half", errno.EIO),
]


class Operator:
    """Types contacts and does what the program's keeper does: what is not told as safe is tried again."""

    def __init__(self, path: Path, disk: FaultyDisk) -> None:
        self.path, self.disk = path, disk
        self.told: list[str] = []
        self.seen = Follower()
        self._journal: Journal | None = None
        self._refusals = 0

    def begin(self) -> Journal:
        """Open, read, recover."""
        while self._journal is None:
            try:
                self._journal = Journal(self.path, disk=self.disk)
            except OSError:
                self._refused()
        self._insist(self._recover)
        return self._journal

    def _recover(self) -> None:
        assert self._journal
        self.seen.take(self._journal.follow())
        self.seen.take(self._journal.recover())

    def type(self, event: ContactLogged) -> None:
        """Append until it is in the file, sync until it is safe, and only then call it kept."""
        self._insist(lambda: self._append(event))
        self._insist(self._sync)
        self.told.append(event.id)

    def follow(self) -> None:
        """See what others wrote."""
        self._insist(self._follow)

    def _append(self, event: Event) -> None:
        assert self._journal
        self.seen.take(self._journal.append([draft(event)]))

    def _sync(self) -> None:
        assert self._journal
        self._journal.sync()

    def _follow(self) -> None:
        assert self._journal
        self.seen.take(self._journal.follow())

    def _insist(self, what: object) -> None:
        assert callable(what)
        while True:
            try:
                what()
            except (JournalError, OSError):
                self._refused()
            else:
                return

    def _refused(self) -> None:
        self._refusals += 1
        if self._refusals >= 3:
            self.disk.heal()

    def end(self) -> None:
        """Leave."""
        if self._journal:
            self._journal.close()


def session(path: Path, disk: FaultyDisk) -> Operator:
    """A session with everything in it that touches the disk: a torn tail, another writer, a lost name."""
    path.write_bytes(b"".join(lines_of(outing())) + b'{"seq":6,"at":"20')
    operator = Operator(path, disk)
    operator.begin()
    operator.type(contact(100))
    write(path, [contact(200), NoteWritten(text="from another program")])
    operator.type(contact(101))
    operator.follow()
    path.unlink()
    operator.type(contact(102, remarks="a longer line " * 20))
    write(path, [contact(201)])
    operator.type(contact(103))
    operator.follow()
    operator.end()
    return operator


@pytest.mark.parametrize(("how", "error"), WAYS, ids=[f"{how}-{error}" for how, error in WAYS])
def test_no_fault_at_any_call_loses_or_doubles_an_entry(fast_path: Path, how: str, error: int) -> None:
    """Kept means in the file; tried again means once; what others wrote is seen once; the chain is sound."""
    for nth in itertools.count(1):
        path = fast_path / f"{nth}.jsonl"
        disk = FaultyDisk(nth, how, error)
        operator = session(path, disk)
        found = read(path)
        ids = Counter(event.id for event in found.events if isinstance(event, ContactLogged))
        where = f"call {nth}: {disk.fired[:3]}"
        assert operator.told == ["c0100", "c0101", "c0102", "c0103"], where
        assert ids == dict.fromkeys(("c0001", "c0100", "c0101", "c0102", "c0103", "c0200", "c0201"), 1), where
        assert verify(path).sound, where
        assert operator.seen.seqs == found.seqs, where
        if disk.spent:
            break
    assert nth > 15


def test_what_a_torn_tail_held_is_beside_the_journal_whatever_fails(fast_path: Path) -> None:
    """Cutting comes after the copy is safe, so at every fault the bytes are in one place at least."""
    torn = b'{"seq":6,"at":"20'
    for nth in itertools.count(1):
        path = fast_path / f"{nth}.jsonl"
        path.write_bytes(b"".join(lines_of(outing())) + torn)
        disk = FaultyDisk(nth, "lasting", errno.EIO)
        try:
            with Journal(path, disk=disk) as journal:
                journal.recover()
        except (NotSavedError, OSError):
            beside = path.with_name(path.name + ".torn")
            assert path.read_bytes().endswith(torn) or torn in beside.read_bytes()
        if disk.spent:
            break
    assert path.with_name(path.name + ".torn").read_bytes() == torn + b"\n"


def test_a_refused_append_says_why_in_one_line(tmp_path: Path) -> None:
    """Each refusal of an operating system comes with what to do."""
    for error, words in [
        (errno.ENOSPC, "the disk is full: delete something"),
        (errno.EIO, "the disk fails (input/output error): name another --journal on another disk"),
        (
            errno.EROFS,
            "the disk is read-only: a failing card does this; mount it again or name another --journal",
        ),
        (errno.ECHILD, "the disk says: No child processes"),
    ]:
        disk = FaultyDisk(1000, "once", error)
        with Journal(tmp_path / "hill.jsonl", disk=disk) as journal:
            disk.fail_from_here()
            with pytest.raises(NotSavedError) as refusal:
                journal.append([draft(contact(1))])
        assert str(refusal.value) == words
