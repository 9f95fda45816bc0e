"""The thread that keeps the journal: what it tells as safe is safe, and what others write is shown."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import pytest

from fieldtui.journal import keeper as keeper_module
from fieldtui.journal.events import ContactLogged, NoteWritten
from fieldtui.journal.file import Journal
from fieldtui.journal.keeper import write_now
from fieldtui.journal.stamp import SystemClock
from fieldtui.journal.verify import verify
from tests.journal.faults import WatchedDisk
from tests.journal.keeping import Start, sample, wait_for
from tests.journal.making import contact, draft, outing, read, write


def test_what_is_there_is_told_before_it_is_called_read(kept_path: Path, start: Start) -> None:
    kept_path.parent.mkdir()
    write(kept_path, outing())
    screen = start()
    wait_for(lambda: "read" in screen.heard)
    assert screen.events == outing()
    assert screen.heard == ["batch", "read"]
    assert screen.threads == {"journal"}


def test_a_new_journal_and_its_folder_are_made(kept_path: Path, start: Start) -> None:
    screen = start()
    wait_for(lambda: "read" in screen.heard)
    assert kept_path.read_bytes() == b""


def test_what_is_told_is_in_the_file_and_synced(kept_path: Path, start: Start) -> None:
    """In the order in which it was typed, and shown before it is called safe."""

    class SyncLog(WatchedDisk):
        def __init__(self) -> None:
            super().__init__()
            self.synced = b""

        def sync(self, descriptor: int) -> None:
            super().sync(descriptor)
            self.synced = kept_path.read_bytes()

    disk = SyncLog()
    screen = start(disk)
    safe: list[bool] = []

    def note(event: ContactLogged) -> None:
        safe.append(event.id.encode() in disk.synced)

    for number in range(30):
        event = contact(number)
        screen.keeper.submit(event, told=partial(note, event))
    wait_for(lambda: len(safe) == 30)
    assert all(safe)
    assert read(kept_path).events == [contact(number) for number in range(30)] == screen.events
    assert verify(kept_path).sound


def test_several_events_of_one_deed_are_told_once_and_stand_together(kept_path: Path, start: Start) -> None:
    screen = start()
    told: list[str] = []
    screen.keeper.submit(
        contact(1), NoteWritten(text="a"), NoteWritten(text="b"), told=lambda: told.append("all")
    )
    wait_for(lambda: told)
    assert told == ["all"]
    assert read(kept_path).events == [contact(1), NoteWritten(text="a"), NoteWritten(text="b")]


def test_what_the_operator_marks_is_safe_at_once_even_if_nobody_waits(kept_path: Path, start: Start) -> None:
    """An entry without a callback is not telemetry."""
    screen = start()
    screen.keeper.submit(contact(1))
    wait_for(lambda: kept_path.exists() and read(kept_path).events == [contact(1)])
    wait_for(lambda: screen.keeper.unsaved() == [])


def test_telemetry_is_written_together(
    kept_path: Path, start: Start, monkeypatch: pytest.MonkeyPatch
) -> None:
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
    assert read(kept_path).events == [contact(0), *map(sample, range(100))]


def test_telemetry_is_written_without_an_entry_to_push_it(kept_path: Path, start: Start) -> None:
    screen = start()
    screen.keeper.submit(sample(1))
    wait_for(lambda: screen.events == [sample(1)])


def test_stopping_writes_and_syncs_what_waits(kept_path: Path, start: Start) -> None:
    screen = start()
    for number in range(20):
        screen.log(contact(number))
        screen.keeper.submit(sample(number))
    assert screen.keeper.stop() == []
    assert len(screen.told) == 20
    assert len(read(kept_path).events) == 40
    assert not screen.keeper.is_alive()


def test_what_other_programs_write_is_shown(kept_path: Path, start: Start) -> None:
    screen = start()
    wait_for(lambda: "read" in screen.heard)
    write(kept_path, [contact(1)])
    wait_for(lambda: screen.events == [contact(1)])
    screen.log(contact(2))
    write_now(kept_path, SystemClock(), [contact(3)])
    wait_for(lambda: len(screen.events) == 3)
    assert screen.events == read(kept_path).events


def test_a_replaced_journal_is_shown_anew(kept_path: Path, start: Start) -> None:
    kept_path.parent.mkdir()
    write(kept_path, outing())
    screen = start()
    wait_for(lambda: "read" in screen.heard)
    other = kept_path.with_name("other.jsonl")
    write(other, [contact(1)])
    other.replace(kept_path)
    wait_for(lambda: screen.events == [contact(1)])
    screen.log(contact(2))
    wait_for(lambda: screen.told)
    assert read(kept_path).events == [contact(1), contact(2)] == screen.events


def test_writing_without_a_thread(tmp_path: Path) -> None:
    path = tmp_path / "hill.jsonl"
    write_now(path, SystemClock(), [contact(1), contact(2)])
    with Journal(path) as journal:
        journal.append([draft(contact(3))])
    assert read(path).events == [contact(1), contact(2), contact(3)]
