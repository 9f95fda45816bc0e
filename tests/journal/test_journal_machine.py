"""Any order of appends, follows, crashes and moved files, against a list of what was appended."""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule

from fieldtui.journal.event_types import Event
from fieldtui.journal.events import ActTakenBack, ContactLogged, JournalRecovered
from fieldtui.journal.file import Journal
from fieldtui.journal.line import encode_data, encode_line, kind_of
from fieldtui.journal.verify import verify
from tests.journal.faults import WatchedDisk
from tests.journal.making import Follower, contact, draft, read, stamp
from tests.journal.strategies import events

WRITERS = st.sampled_from(["one", "two"])


class JournalMachine(RuleBasedStateMachine):
    """Two programs that write, one that watches, and a world that cuts power and moves files."""

    def __init__(self) -> None:
        super().__init__()
        memory = "/dev/shm" if Path("/dev/shm").is_dir() else None
        self.folder = Path(tempfile.mkdtemp(dir=memory))
        self.path = self.folder / "hill.jsonl"
        self.disk = WatchedDisk()
        self.expected: list[Event] = []
        self.pending: Event | None = None
        self.ragged = False
        self.number = 0
        self.journals = {name: Journal(self.path, disk=self.disk) for name in ("one", "two")}
        self.watcher = Journal(self.path, writable=False, disk=self.disk)
        self.seen = {name: Follower() for name in ("one", "two", "watcher")}

    def teardown(self) -> None:
        for journal in (*self.journals.values(), self.watcher):
            journal.close()
        shutil.rmtree(self.folder)

    def _mended(self) -> None:
        """A writer took the lock: an unterminated line now counts, a torn one is beside the journal."""
        if self.pending is not None:
            self.expected.append(self.pending)
        self.pending, self.ragged = None, False

    @rule(who=WRITERS, some=st.lists(events(), min_size=1, max_size=4))
    def append(self, who: str, some: list[Event]) -> None:
        """A program writes."""
        some = [event for event in some if not isinstance(event, JournalRecovered)]
        self.seen[who].take(self.journals[who].append([draft(event) for event in some]))
        self._mended()
        self.expected += some

    @rule(who=WRITERS)
    def log(self, who: str) -> None:
        """A program writes a contact and syncs."""
        self.number += 1
        event = contact(self.number)
        self.seen[who].take(self.journals[who].append([draft(event)]))
        self._mended()
        self.journals[who].sync()
        self.expected.append(event)

    @rule(who=WRITERS, number=st.integers(1, 9), restored=st.booleans())
    def take_back(self, who: str, number: int, restored: bool) -> None:
        """A program takes a contact back, or brings it back; whoever read it before has to be told."""
        event = ActTakenBack(act=contact(number).id, restored=restored)
        self.seen[who].take(self.journals[who].append([draft(event)]))
        self._mended()
        self.journals[who].sync()
        self.expected.append(event)

    @rule(who=WRITERS)
    def recover(self, who: str) -> None:
        """A program opens the journal for writing."""
        self.seen[who].take(self.journals[who].recover())
        self._mended()

    @rule(who=WRITERS)
    def follow(self, who: str) -> None:
        """A program looks for news."""
        self.seen[who].take(self.journals[who].follow())

    @rule(who=WRITERS)
    def reopen(self, who: str) -> None:
        """A program is killed and started again."""
        self.journals[who].close()
        self.journals[who] = Journal(self.path, disk=self.disk)
        self.seen[who] = Follower()

    @precondition(lambda self: not self.ragged)
    @rule(garbage=st.binary(min_size=1, max_size=50))
    def tear(self, garbage: bytes) -> None:
        """The power goes while a line is written."""
        with self.path.open("ab") as file:
            file.write(b'{"seq":1,"at":"' + garbage.replace(b"\n", b""))
        self.ragged = True

    @precondition(lambda self: not self.ragged and self.expected)
    @rule()
    def lose_a_line_end(self) -> None:
        """The power goes between a line and its end."""
        last = read(self.path).envelopes[-1]
        self.number += 1
        self.pending = contact(self.number)
        data = encode_data(self.pending)
        line, _ = encode_line(last.seq + 1, stamp(), kind_of(self.pending), data, int(last.sum, 16))
        with self.path.open("ab") as file:
            file.write(line[:-1])
        self.ragged = True

    @rule()
    def replace(self) -> None:
        """Somebody puts a copy in place of the file."""
        copy = self.folder / "copy"
        shutil.copyfile(self.path, copy)
        copy.replace(self.path)

    @rule()
    def remove(self) -> None:
        """Somebody deletes the file; a program that has it open and read writes it back."""
        for who, journal in self.journals.items():
            self.seen[who].take(journal.recover())
        self._mended()
        self.path.unlink()
        self.log("one")

    @precondition(lambda self: not self.ragged and len(self.expected) > 1)
    @rule()
    def put_an_older_copy_in_place(self) -> None:
        """In place, so the inode stays: the last line is gone. What was not safe yet would be written again."""
        for journal in self.journals.values():
            journal.sync()
        lines = self.path.read_bytes().splitlines(keepends=True)
        self.path.write_bytes(b"".join(lines[:-1]))
        self.expected = [
            event
            for event in read(self.path).events
            if event is not None and not isinstance(event, JournalRecovered)
        ]

    @invariant()
    def the_file_is_what_was_appended(self) -> None:
        """In order, each once, with no damage."""
        found = read(self.path)
        assert _told(found.events) == self.expected
        assert verify(self.path).damage == ()
        assert bool(found.unfinished_bytes) == self.ragged

    @invariant()
    def every_follower_comes_to_the_same(self) -> None:
        """Whatever it has seen before."""
        self.seen["watcher"].take(self.watcher.follow())
        found = read(self.path)
        assert self.seen["watcher"].envelopes == found.envelopes
        for who, journal in self.journals.items():
            assert journal.damage == []
            if not self.ragged and self.number % 3 == 0:
                self.seen[who].take(journal.follow())
                assert self.seen[who].envelopes == found.envelopes


def _told(some: list[Event | None]) -> list[Event | None]:
    return [event for event in some if not isinstance(event, JournalRecovered)]


TestJournalMachine = JournalMachine.TestCase
TestJournalMachine.settings = settings(deadline=None, max_examples=60, stateful_step_count=25)


def test_the_machine_knows_contacts_apart() -> None:
    """The model compares whole events; equal ones would hide a lost or doubled line."""
    assert contact(1) != contact(2)
    assert isinstance(contact(1), ContactLogged)
