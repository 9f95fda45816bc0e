"""Full disks, hanging disks, locked and foreign files: the keeper says so, keeps entries, and makes nobody wait."""

from __future__ import annotations

import errno
import threading
from pathlib import Path

import pytest

from fieldtui.journal import keeper as keeper_module
from fieldtui.journal.disk import Disk
from fieldtui.journal.errors import OutOfBoundsError
from fieldtui.journal.events import BatterySampled, ContactLogged
from fieldtui.journal.verify import verify
from fieldtui.radio.frequency import MOST_HERTZ
from tests.journal.faults import FaultyDisk, WatchedDisk
from tests.journal.keeping import FULL, PATIENCE_SECONDS, Start, sample, wait_for
from tests.journal.making import contact, outing, read, write


def test_nobody_waits_for_a_disk_that_hangs(kept_path: Path, start: Start) -> None:
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
    assert [draft.event.id for draft in screen.keeper.unsaved()] == ["c0000", "c0001"]  # type: ignore[attr-defined]
    release.set()
    wait_for(lambda: screen.told == ["c0000", "c0001"])
    assert len(read(kept_path).events) == 2002


def test_a_full_disk_is_told_and_all_is_written_once_when_there_is_room(
    kept_path: Path, start: Start
) -> None:
    disk = FaultyDisk(10_000, "full", errno.ENOSPC)
    screen = start(disk)
    screen.log(contact(0))
    wait_for(lambda: screen.told)
    disk.fail_from_here()
    screen.log(contact(1))
    wait_for(screen.trouble(FULL))
    for number in range(2, 6):
        screen.keeper.submit(sample(number))
        screen.log(contact(number))
    assert screen.told == ["c0000"]
    assert len(screen.keeper.unsaved()) == 5
    assert read(kept_path).events == [contact(0)]
    disk.heal()
    wait_for(lambda: len(screen.told) == 6)
    expected = [contact(0), contact(1)]
    for number in range(2, 6):
        expected += [sample(number), contact(number)]  # type: ignore[list-item]
    assert read(kept_path).events == expected == screen.events
    assert [words for words in screen.heard if "trouble" in words] == [f"trouble: {FULL}", "trouble: "]
    assert screen.keeper.unsaved() == []
    assert verify(kept_path).sound


def test_a_sync_that_fails_is_told_and_the_lines_are_not_written_twice(kept_path: Path, start: Start) -> None:
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
    wait_for(lambda: len(read(kept_path).events) == 2)
    assert screen.told == []
    assert len(screen.keeper.unsaved()) == 2
    disk.well = True
    wait_for(lambda: screen.told == ["c0001", "c0002"])
    assert read(kept_path).events == [contact(1), contact(2)] == screen.events
    assert verify(kept_path).sound


def held(path: Path) -> bool:
    """Whether this process has the file open."""
    return any(link.resolve() == path for link in Path("/proc/self/fd").iterdir())


@pytest.mark.skipif(not Path("/proc/self/fd").exists(), reason="nothing else tells what is open")
@pytest.mark.parametrize("error", [errno.EROFS, errno.EIO])
def test_a_disk_that_gave_up_is_let_go_and_nothing_is_made_where_it_was(
    kept_path: Path, start: Start, error: int
) -> None:
    """So it can be unmounted; what was typed goes to the journal when that is there again, behind what it holds."""
    disk = FaultyDisk(10_000, "lasting", error)
    screen = start(disk)
    screen.log(contact(0))
    wait_for(lambda: screen.told)
    assert held(kept_path)
    disk.fail_from_here()
    screen.log(contact(1))
    wait_for(lambda: any("name another --journal" in words for words in screen.heard))
    wait_for(lambda: not held(kept_path))
    elsewhere = kept_path.rename(kept_path.with_suffix(".unmounted"))
    disk.heal()
    wait_for(screen.trouble("hill.jsonl is not there now: mount its disk again"))
    screen.log(contact(2))
    assert not kept_path.exists()
    elsewhere.rename(kept_path)
    wait_for(lambda: screen.told == ["c0000", "c0001", "c0002"])
    assert read(kept_path).events == [contact(0), contact(1), contact(2)] == screen.events
    assert verify(kept_path).sound


def test_a_disk_that_comes_back_as_it_was_a_minute_ago_is_taken_as_it_is(
    kept_path: Path, start: Start
) -> None:
    """Lines that were told as safe are gone with the disk's memory: what is shown is what it holds."""
    disk = FaultyDisk(10_000, "lasting", errno.EROFS)
    screen = start(disk)
    screen.log(contact(0))
    wait_for(lambda: screen.told)
    earlier = kept_path.read_bytes()
    screen.log(contact(1))
    wait_for(lambda: len(screen.told) == 2)
    disk.fail_from_here()
    screen.log(contact(2))
    wait_for(lambda: any("read-only" in words for words in screen.heard))
    wait_for(lambda: not held(kept_path))
    kept_path.write_bytes(earlier)
    disk.heal()
    wait_for(lambda: len(screen.told) == 3)
    assert read(kept_path).events == [contact(0), contact(2)] == screen.events
    assert verify(kept_path).sound


def test_too_much_telemetry_drops_the_oldest_and_never_an_entry(
    kept_path: Path, start: Start, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(keeper_module, "MOST_TELEMETRY", 20)
    disk = FaultyDisk(1, "lasting", errno.ENOSPC)
    screen = start(disk)
    wait_for(screen.trouble(FULL))
    for number in range(100):
        screen.keeper.submit(sample(number))
        if number % 20 == 0:
            screen.log(contact(number))
    disk.heal()
    wait_for(lambda: len(screen.told) == 5)
    events = read(kept_path).events
    assert [event.id for event in events if isinstance(event, ContactLogged)] == [
        "c0000", "c0020", "c0040", "c0060", "c0080",
    ]  # fmt: skip
    numbers = [event.out_amp_seconds for event in events if isinstance(event, BatterySampled)]
    assert numbers == [float(number) for number in range(100 - len(numbers), 100)]
    assert 0 < len(numbers) <= 20


def test_stopping_gives_back_what_no_disk_takes(kept_path: Path, start: Start) -> None:
    """Entries in the order typed; telemetry is not handed back."""
    screen = start(FaultyDisk(1, "lasting", errno.ENOSPC))
    screen.log(contact(1))
    screen.keeper.submit(sample(1))
    screen.log(contact(2))
    assert [draft.event for draft in screen.keeper.stop()] == [contact(1), contact(2)]
    assert screen.told == []


def test_a_keeper_that_never_ran_gives_back_everything(start: Start) -> None:
    screen = start(run=False)
    screen.log(contact(1))
    assert [draft.event for draft in screen.keeper.stop()] == [contact(1)]


def test_another_file_is_refused_in_words_and_left_alone(kept_path: Path, start: Start) -> None:
    kept_path.parent.mkdir()
    kept_path.write_bytes(b"Dear diary\n")
    screen = start()
    screen.log(contact(1))
    wait_for(screen.trouble("hill.jsonl is not a journal of this program: name another file"))
    assert [draft.event for draft in screen.keeper.stop()] == [contact(1)]
    assert kept_path.read_bytes() == b"Dear diary\n"


def test_a_path_that_is_no_file_is_said(kept_path: Path, start: Start) -> None:
    kept_path.mkdir(parents=True)
    screen = start()
    wait_for(screen.trouble("that is a folder: name a file"))
    assert screen.keeper.stop() == []


def test_a_torn_journal_on_a_full_disk_is_shown_and_can_be_typed_into(kept_path: Path, start: Start) -> None:
    """Setting the torn end aside needs room; the screen begins all the same, and entries wait."""
    kept_path.parent.mkdir()
    write(kept_path, outing())
    with kept_path.open("ab") as file:
        file.write(b'{"seq":6,"at"')
    disk = FaultyDisk(1, "full", errno.ENOSPC)
    disk.fired.append("an earlier program's write")
    screen = start(disk)
    wait_for(lambda: "read" in screen.heard)
    assert screen.events == outing()
    wait_for(screen.trouble(FULL))
    screen.log(contact(7))
    assert screen.told == []
    disk.heal()
    wait_for(lambda: screen.told == ["c0007"])
    assert [envelope.kind for envelope in read(kept_path).envelopes][5:] == [
        "journal-recovered",
        "contact-logged",
    ]
    assert screen.events == read(kept_path).events
    assert screen.heard.count("read") == 1


def test_a_locked_journal_is_waited_for(
    kept_path: Path, start: Start, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A stopped program holds the lock: said at once, written when it lets go."""
    monkeypatch.setattr("fieldtui.journal.disk.LOCK_SECONDS", 0.02)
    kept_path.parent.mkdir()
    write(kept_path, [contact(1)])
    holder = Disk()
    descriptor = holder.open(kept_path, writable=True)
    holder.lock(descriptor, kept_path)
    screen = start()
    wait_for(lambda: any("held by another program" in words for words in screen.heard))
    screen.log(contact(2))
    holder.unlock(descriptor)
    wait_for(lambda: screen.told == ["c0002"])
    holder.close(descriptor)
    assert read(kept_path).events == [contact(1), contact(2)]


def test_what_could_not_be_read_again_is_refused_at_once_and_holds_nothing_up(
    kept_path: Path, start: Start
) -> None:
    """A line that no reader takes would be a contact that was confirmed and is gone."""
    screen = start()
    wait_for(lambda: "read" in screen.heard)
    with pytest.raises(OutOfBoundsError, match=r"contact logged cannot be kept: its hertz is out of bounds"):
        screen.keeper.submit(contact(1, hertz=2 * MOST_HERTZ))
    screen.log(contact(2))
    wait_for(lambda: screen.told == ["c0002"])
    assert read(kept_path).events == [contact(2)]
