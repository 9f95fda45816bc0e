"""The thread that keeps the journal: what it tells as safe is safe, and it never makes anybody wait."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from fieldtui.journal import keeper as keeper_module
from fieldtui.journal.disk import Disk
from fieldtui.journal.events import BatterySampled, ContactLogged, Event, NoteWritten
from fieldtui.journal.file import Batch, Journal
from fieldtui.journal.keeper import Keeper, write_now
from fieldtui.journal.line import read_event
from fieldtui.journal.stamp import SystemClock
from fieldtui.journal.verify import verify
from tests.journal.faults import FaultyDisk, WatchedDisk
from tests.journal.making import contact, draft, outing, read, write

PATIENCE_SECONDS = 30.0
FULL = "the disk is full: delete something"


@pytest.fixture(autouse=True)
def _hasty(monkeypatch: pytest.MonkeyPatch) -> None:
    """Turn waits into moments; what is tested is the order of things, not their speed."""
    monkeypatch.setattr(keeper_module, "POLL_SECONDS", 0.005)
    monkeypatch.setattr(keeper_module, "RETRY_SECONDS", 0.005)
    monkeypatch.setattr(keeper_module, "TELEMETRY_SECONDS", 0.02)
    monkeypatch.setattr(keeper_module, "SYNC_SECONDS", 0.05)


def wait_for(what: Callable[[], object]) -> None:
    """Wait until it is so."""
    end = time.monotonic() + PATIENCE_SECONDS
    while not what():
        assert time.monotonic() < end, "it did not happen"
        time.sleep(0.002)


class Screen:
    """What a screen hears from its keeper."""

    def __init__(self, path: Path, disk: Disk | None = None) -> None:
        self.told: list[str] = []
        self.heard: list[str] = []
        self.batches: list[Batch] = []
        self.threads: set[str] = set()
        self.keeper = Keeper(
            path,
            SystemClock(),
            on_batch=self._on_batch,
            on_trouble=self._on_trouble,
            on_read=lambda: self.heard.append("read"),
            disk=disk,
        )

    def _on_batch(self, batch: Batch) -> None:
        self.threads.add(threading.current_thread().name)
        self.batches.append(batch)
        self.heard.append("batch")

    def _on_trouble(self, words: str) -> None:
        self.threads.add(threading.current_thread().name)
        self.heard.append(f"trouble: {words}")

    @property
    def events(self) -> list[Event | None]:
        """What it would show."""
        shown: list[Event | None] = []
        for batch in [*self.batches]:
            if batch.restarted:
                shown.clear()
            shown += [read_event(envelope) for envelope in batch.envelopes]
        return shown

    def log(self, event: ContactLogged) -> None:
        """Type a contact; its id is told when it is safe."""
        self.keeper.submit(event, told=lambda: self.told.append(event.id))

    def trouble(self, words: str) -> Callable[[], bool]:
        """Whether these words of trouble were heard."""
        return lambda: f"trouble: {words}" in self.heard


@pytest.fixture(name="path")
def _path(tmp_path: Path) -> Path:
    return tmp_path / "journals" / "hill.jsonl"


Start = Callable[..., Screen]


@pytest.fixture(name="start")
def _start(path: Path) -> Iterator[Start]:
    """Keepers that run, and end with the test."""
    screens: list[Screen] = []

    def start(disk: Disk | None = None, *, run: bool = True) -> Screen:
        screens.append(Screen(path, disk))
        if run:
            screens[-1].keeper.start()
        return screens[-1]

    yield start
    for screen in screens:
        if isinstance(screen.keeper._disk, FaultyDisk):
            screen.keeper._disk.heal()
        screen.keeper.stop()


def sample(number: int) -> BatterySampled:
    """Telemetry."""
    return BatterySampled(feed="shunt", volts=13.0, out_amp_seconds=float(number))


def test_what_is_there_is_told_before_it_is_called_read(path: Path, start: Start) -> None:
    path.parent.mkdir()
    write(path, outing())
    screen = start()
    wait_for(lambda: "read" in screen.heard)
    assert screen.events == outing()
    assert screen.heard == ["batch", "read"]
    assert screen.threads == {"journal"}


def test_a_new_journal_and_its_folder_are_made(path: Path, start: Start) -> None:
    screen = start()
    wait_for(lambda: "read" in screen.heard)
    assert path.read_bytes() == b""


def test_what_is_told_is_in_the_file_and_synced(path: Path, start: Start) -> None:
    """In the order in which it was typed, and shown before it is called safe."""

    class SyncLog(WatchedDisk):
        def __init__(self) -> None:
            super().__init__()
            self.synced = b""

        def sync(self, descriptor: int) -> None:
            super().sync(descriptor)
            self.synced = path.read_bytes()

    disk = SyncLog()
    screen = start(disk)
    safe: list[bool] = []
    for number in range(30):
        event = contact(number)
        screen.keeper.submit(event, told=lambda event=event: safe.append(event.id.encode() in disk.synced))
    wait_for(lambda: len(safe) == 30)
    assert all(safe)
    assert read(path).events == [contact(number) for number in range(30)] == screen.events
    assert verify(path).sound


def test_several_events_of_one_deed_are_told_once_and_stand_together(path: Path, start: Start) -> None:
    screen = start()
    told: list[str] = []
    screen.keeper.submit(
        contact(1), NoteWritten(text="a"), NoteWritten(text="b"), told=lambda: told.append("all")
    )
    wait_for(lambda: told)
    assert told == ["all"]
    assert read(path).events == [contact(1), NoteWritten(text="a"), NoteWritten(text="b")]


def test_what_the_operator_marks_is_safe_at_once_even_if_nobody_waits(path: Path, start: Start) -> None:
    """An entry without a callback is no telemetry."""
    screen = start()
    screen.keeper.submit(contact(1))
    wait_for(lambda: path.exists() and read(path).events == [contact(1)])
    wait_for(lambda: screen.keeper.unsaved() == [])


def test_telemetry_is_written_together(path: Path, start: Start, monkeypatch: pytest.MonkeyPatch) -> None:
    """A hundred readings cost the card a few writes and syncs, not a hundred."""
    monkeypatch.setattr(keeper_module, "TELEMETRY_SECONDS", 3600.0)
    monkeypatch.setattr(keeper_module, "SYNC_SECONDS", 3600.0)
    writes: list[int] = []

    class CountingDisk(WatchedDisk):
        def write(self, descriptor: int, data: bytes) -> int:
            writes.append(data.count(b"\n"))
            return super().write(descriptor, data)

    screen = start(CountingDisk())
    screen.log(contact(0))
    wait_for(lambda: screen.told)
    for number in range(100):
        screen.keeper.submit(sample(number))
    assert screen.keeper.stop() == []
    assert writes == [1, 100]
    assert read(path).events == [contact(0), *map(sample, range(100))]


def test_telemetry_is_written_without_an_entry_to_push_it(path: Path, start: Start) -> None:
    screen = start()
    screen.keeper.submit(sample(1))
    wait_for(lambda: screen.events == [sample(1)])


def test_nobody_waits_for_a_disk_that_hangs(path: Path, start: Start) -> None:
    """Every submit returns while the card does nothing; this test would hang otherwise."""
    release, hanging = threading.Event(), threading.Event()

    class HangingDisk(WatchedDisk):
        def sync(self, descriptor: int) -> None:
            hanging.set()
            release.wait(PATIENCE_SECONDS)
            super().sync(descriptor)

    screen = start(HangingDisk())
    screen.log(contact(0))
    assert hanging.wait(PATIENCE_SECONDS)
    for number in range(2000):
        screen.keeper.submit(sample(number))
        screen.keeper.unsaved()
    screen.log(contact(1))
    assert screen.told == []
    assert [event.id for event in screen.keeper.unsaved()] == ["c0000", "c0001"]  # type: ignore[attr-defined]
    release.set()
    wait_for(lambda: screen.told == ["c0000", "c0001"])
    assert len(read(path).events) == 2002


def test_a_full_disk_is_told_and_all_is_written_once_when_there_is_room(path: Path, start: Start) -> None:
    disk = FaultyDisk(10_000, "full", 28)
    screen = start(disk)
    screen.log(contact(0))
    wait_for(lambda: screen.told)
    disk._nth = disk._calls + 1
    screen.log(contact(1))
    wait_for(screen.trouble(FULL))
    for number in range(2, 6):
        screen.keeper.submit(sample(number))
        screen.log(contact(number))
    assert screen.told == ["c0000"]
    assert len(screen.keeper.unsaved()) == 5
    assert read(path).events == [contact(0)]
    disk.heal()
    wait_for(lambda: len(screen.told) == 6)
    expected = [contact(0), contact(1)]
    for number in range(2, 6):
        expected += [sample(number), contact(number)]  # type: ignore[list-item]
    assert read(path).events == expected == screen.events
    assert [words for words in screen.heard if "trouble" in words] == [f"trouble: {FULL}", "trouble: "]
    assert screen.keeper.unsaved() == []
    assert verify(path).sound


def test_a_sync_that_fails_is_told_and_the_lines_are_not_written_twice(path: Path, start: Start) -> None:
    """Neither the suspect file nor the fresh one can be synced for a while."""

    class Unsyncable(WatchedDisk):
        well = True

        def sync(self, descriptor: int) -> None:
            if not self.well:
                self.note_failed_sync(descriptor)
                raise OSError(5, "Input/output error")
            super().sync(descriptor)

    disk = Unsyncable()
    screen = start(disk)
    wait_for(lambda: "read" in screen.heard)
    disk.well = False
    screen.log(contact(1))
    wait_for(lambda: any("the disk fails" in words for words in screen.heard))
    screen.log(contact(2))
    wait_for(lambda: len(read(path).events) == 2)
    assert screen.told == []
    assert len(screen.keeper.unsaved()) == 2
    disk.well = True
    wait_for(lambda: screen.told == ["c0001", "c0002"])
    assert read(path).events == [contact(1), contact(2)] == screen.events
    assert verify(path).sound


def test_too_much_telemetry_drops_the_oldest_and_never_an_entry(
    path: Path, start: Start, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(keeper_module, "MOST_TELEMETRY", 20)
    disk = FaultyDisk(1, "lasting", 28)
    screen = start(disk)
    wait_for(screen.trouble(FULL))
    for number in range(100):
        screen.keeper.submit(sample(number))
        if number % 20 == 0:
            screen.log(contact(number))
    disk.heal()
    wait_for(lambda: len(screen.told) == 5)
    events = read(path).events
    assert [event.id for event in events if isinstance(event, ContactLogged)] == [
        "c0000", "c0020", "c0040", "c0060", "c0080",
    ]  # fmt: skip
    numbers = [event.out_amp_seconds for event in events if isinstance(event, BatterySampled)]
    assert numbers == [float(number) for number in range(100 - len(numbers), 100)]
    assert 0 < len(numbers) <= 20


def test_stopping_writes_and_syncs_what_waits(path: Path, start: Start) -> None:
    screen = start()
    for number in range(20):
        screen.log(contact(number))
        screen.keeper.submit(sample(number))
    assert screen.keeper.stop() == []
    assert len(screen.told) == 20
    assert len(read(path).events) == 40
    assert not screen.keeper.is_alive()


def test_stopping_gives_back_what_no_disk_takes(path: Path, start: Start) -> None:
    """Entries in the order typed; telemetry is not handed back."""
    screen = start(FaultyDisk(1, "lasting", 28))
    screen.log(contact(1))
    screen.keeper.submit(sample(1))
    screen.log(contact(2))
    assert screen.keeper.stop() == [contact(1), contact(2)]
    assert screen.told == []


def test_a_keeper_that_never_ran_gives_back_everything(start: Start) -> None:
    screen = start(run=False)
    screen.log(contact(1))
    assert screen.keeper.stop() == [contact(1)]


def test_what_other_programs_write_is_shown(path: Path, start: Start) -> None:
    screen = start()
    wait_for(lambda: "read" in screen.heard)
    write(path, [contact(1)])
    wait_for(lambda: screen.events == [contact(1)])
    screen.log(contact(2))
    write_now(path, SystemClock(), [contact(3)])
    wait_for(lambda: len(screen.events) == 3)
    assert screen.events == read(path).events


def test_a_replaced_journal_is_shown_anew(path: Path, start: Start) -> None:
    path.parent.mkdir()
    write(path, outing())
    screen = start()
    wait_for(lambda: "read" in screen.heard)
    other = path.with_name("other.jsonl")
    write(other, [contact(1)])
    other.replace(path)
    wait_for(lambda: screen.events == [contact(1)])
    screen.log(contact(2))
    wait_for(lambda: screen.told)
    assert read(path).events == [contact(1), contact(2)] == screen.events


def test_another_file_is_refused_in_words_and_left_alone(path: Path, start: Start) -> None:
    path.parent.mkdir()
    path.write_bytes(b"Dear diary\n")
    screen = start()
    screen.log(contact(1))
    wait_for(screen.trouble("hill.jsonl is not a journal of this program: name another file"))
    assert screen.keeper.stop() == [contact(1)]
    assert path.read_bytes() == b"Dear diary\n"


def test_a_path_that_is_no_file_is_said(path: Path, start: Start) -> None:
    path.mkdir(parents=True)
    screen = start()
    wait_for(screen.trouble("that is a folder: name a file"))
    assert screen.keeper.stop() == []


def test_a_torn_journal_on_a_full_disk_is_shown_and_can_be_typed_into(path: Path, start: Start) -> None:
    """Setting the torn end aside needs room; the screen begins all the same, and entries wait."""
    path.parent.mkdir()
    write(path, outing())
    with path.open("ab") as file:
        file.write(b'{"seq":6,"at"')
    disk = FaultyDisk(1, "full", 28)
    disk.fired.append("an earlier program's write")
    screen = start(disk)
    wait_for(lambda: "read" in screen.heard)
    assert screen.events == outing()
    wait_for(screen.trouble(FULL))
    screen.log(contact(7))
    assert screen.told == []
    disk.heal()
    wait_for(lambda: screen.told == ["c0007"])
    assert [envelope.kind for envelope in read(path).envelopes][5:] == ["journal-recovered", "contact-logged"]
    assert screen.events == read(path).events
    assert screen.heard.count("read") == 1


def test_a_locked_journal_is_waited_for(path: Path, start: Start, monkeypatch: pytest.MonkeyPatch) -> None:
    """A stopped program holds the lock: said at once, written when it lets go."""
    monkeypatch.setattr("fieldtui.journal.disk.LOCK_SECONDS", 0.02)
    path.parent.mkdir()
    write(path, [contact(1)])
    holder = Disk()
    descriptor = holder.open(path, writable=True)
    holder.lock(descriptor, path)
    screen = start()
    wait_for(lambda: any("held by another program" in words for words in screen.heard))
    screen.log(contact(2))
    holder.unlock(descriptor)
    wait_for(lambda: screen.told == ["c0002"])
    holder.close(descriptor)
    assert read(path).events == [contact(1), contact(2)]


def test_writing_without_a_thread(tmp_path: Path) -> None:
    path = tmp_path / "hill.jsonl"
    write_now(path, SystemClock(), [contact(1), contact(2)])
    with Journal(path) as journal:
        journal.append([draft(contact(3))])
    assert read(path).events == [contact(1), contact(2), contact(3)]
