"""Faults of the machine under a running screen: disks, files, signals, sizes, and feeds that shout or are silent."""

from __future__ import annotations

import os
import signal
import subprocess
import threading
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from fieldtui.demo.virtual_port import PtyPort
from fieldtui.journal.events import ContactLogged, NoteWritten
from fieldtui.journal.verify import verify
from tests.support.journals import of_kind
from tests.support.terminal import Terminal, fieldtui


def calls_in(journal: Path) -> list[str]:
    """The calls of all contacts, in file order."""
    return [contact.call for contact in of_kind(journal, ContactLogged)]


def log(hill: Terminal, call: str) -> None:
    """Type a contact and wait until the disk has it: `saving: logged ...` says only that it is on its way."""
    hill.send(f"{call.lower()} 59 57\r")
    hill.wait_logged(call)


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A file system of its own with 256 kB, as a card has."""
    folder = tmp_path / "card"
    folder.mkdir()
    made = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=256k", "tmpfs", folder], capture_output=True, check=False
    )
    if made.returncode:
        pytest.skip("mounting takes the rights of root")
    try:
        yield folder
    finally:
        subprocess.run(["umount", "-l", folder], check=False)


def fill(folder: Path) -> Path:
    """Take all the room there is, to the last byte."""
    filler = folder / "filler"
    with filler.open("wb", buffering=0) as file:
        for size in (4096, 1):
            try:
                while file.write(b"x" * size):
                    pass
            except OSError:
                continue
    return filler


def test_a_card_that_is_full_says_so_and_takes_all_when_there_is_room(small_disk: Path):
    """A file system without a free block: typing goes on, nothing is lost, nothing stands twice."""
    journal = small_disk / "j.jsonl"
    with Terminal(fieldtui("session", "--journal", journal)) as hill:
        hill.wait_for("F1 help")
        log(hill, "KD7QSV")
        filler = fill(small_disk)
        # More than the last block of the journal has left.
        for number in range(6):
            hill.send(f"note {number} {'lamp ' * 180}\r")
        hill.wait_for("NOT SAVED")
        hill.wait_for("the disk is full: delete something")
        hill.send("w0qsl 59 57 Ada\r")
        hill.wait_for("W0QSL")
        filler.unlink()
        hill.wait_for(lambda: "NOT SAVED" not in hill.text)
        log(hill, "VE7QRZ")
    assert calls_in(journal) == ["KD7QSV", "W0QSL", "VE7QRZ"]
    assert [note.text[:1] for note in of_kind(journal, NoteWritten)] == [*"012345"]
    assert verify(journal).sound


def test_a_card_that_turned_itself_read_only_is_said_and_waited_for(small_disk: Path):
    """The words name the cause and the remedy; once it is writable, the next line is logged without a new start."""
    subprocess.run(["mount", "-o", "remount,ro", small_disk], check=True)
    journal = small_disk / "j.jsonl"
    with Terminal(fieldtui("session", "--journal", journal)) as hill:
        hill.wait_for("NOT SAVED")
        hill.wait_for("the disk is read-only")
        hill.send("kd7qsv 59 57")
        hill.wait_for("> kd7qsv 59 57")
        subprocess.run(["mount", "-o", "remount,rw", small_disk], check=True)
        hill.wait_for(lambda: "NOT SAVED" not in hill.text)
        hill.send("\r")
        hill.wait_logged("KD7QSV")
    assert calls_in(journal) == ["KD7QSV"]
    assert verify(journal).sound


class FailingCard:
    """A disk with a file system that turns itself read-only at the first error, as small boards mount their cards."""

    def __init__(self, folder: Path) -> None:
        self.folder, self._image = folder, folder.with_suffix(".img")

    def make(self) -> None:
        """Make and mount it."""
        self._image.write_bytes(bytes(2**21))
        _do("mke2fs", "-q", "-F", "-t", "ext4", "-O", "^has_journal", self._image)
        self.mount()

    def mount(self) -> None:
        """As at every start."""
        _do("mount", "-o", "loop,errors=remount-ro", self._image, self.folder)

    @property
    def switch(self) -> Path:
        """The kernel's own switch for an error of the file system."""
        mounts = Path("/proc/mounts").read_text().splitlines()
        device = next(line.split()[0] for line in mounts if str(self.folder) in line)
        return Path("/sys/fs/ext4", Path(device).name, "trigger_fs_error")

    def fail(self) -> None:
        """From now on it is read-only; files stay open."""
        self.switch.write_text("test")

    def unmount(self) -> None:
        """Refused while anybody has a file of it open."""
        _do("umount", self.folder)


def _do(*words: str | Path) -> None:
    subprocess.run(words, capture_output=True, check=True)


@pytest.fixture
def failing_card(tmp_path: Path) -> Iterator[FailingCard]:
    card = FailingCard(tmp_path / "card")
    card.folder.mkdir()
    try:
        card.make()
    except (OSError, subprocess.CalledProcessError) as error:
        pytest.skip(f"takes the rights of root, mke2fs and a loop device: {error}")
    try:
        if not card.switch.exists():
            pytest.skip("the kernel has no switch for errors of ext4")
        yield card
    finally:
        subprocess.run(["umount", "-l", card.folder], capture_output=True, check=False)


def test_a_card_that_turns_read_only_under_an_open_journal_can_be_mounted_anew(failing_card: FailingCard):
    """Typing goes on and is said not to be saved; nothing holds the card; once mounted again it takes everything."""
    card, journal = failing_card, failing_card.folder / "j.jsonl"
    with Terminal(fieldtui("session", "--journal", journal)) as hill:
        hill.wait_for("F1 help")
        log(hill, "KD7QSV")
        card.fail()
        hill.send("w0qsl 59 57 Ada\r")
        hill.wait_for("NOT SAVED (1 entry waits in memory): the disk is read-only: a failing card")
        hill.wait_for("mount it again")
        hill.send("note the lamp is out\r")
        hill.wait_for("NOT SAVED (2 entries wait in memory)")
        hill.wait_for(lambda: _succeeds(card.unmount))
        hill.wait_for("j.jsonl is not there now: mount its disk")
        assert not journal.exists(), "it would be hidden as soon as the card is mounted"
        card.mount()
        hill.wait_for(lambda: "NOT SAVED" not in hill.text)
        log(hill, "VE7QRZ")
        assert "W0QSL" in hill.text
    assert calls_in(journal) == ["KD7QSV", "W0QSL", "VE7QRZ"]
    assert [note.text for note in of_kind(journal, NoteWritten)] == ["the lamp is out"]
    assert verify(journal).sound


def _succeeds(call: Callable[[], None]) -> bool:
    try:
        call()
    except subprocess.CalledProcessError:
        return False
    return True


def test_a_journal_removed_under_the_screen_is_written_back_whole(tmp_path: Path):
    journal = tmp_path / "j.jsonl"
    with Terminal(fieldtui("session", "--journal", journal)) as hill:
        hill.wait_for("F1 help")
        log(hill, "KD7QSV")
        journal.unlink()
        log(hill, "W0QSL")
    assert calls_in(journal) == ["KD7QSV", "W0QSL"]
    assert verify(journal).sound


def test_a_journal_replaced_under_the_screen_is_what_the_screen_shows(tmp_path: Path):
    """Somebody put an earlier copy back: the screen shows what is in it, and builds on it."""
    journal, other = tmp_path / "j.jsonl", tmp_path / "other.jsonl"
    subprocess.run(fieldtui("add", other, "ve7qrz 59 57"), check=True, capture_output=True)
    with Terminal(fieldtui("session", "--journal", journal)) as hill:
        hill.wait_for("F1 help")
        log(hill, "KD7QSV")
        other.replace(journal)
        hill.wait_for("VE7QRZ")
        log(hill, "W0QSL")
        hill.wait_for(lambda: " KD7QSV " not in hill.text)
    assert calls_in(journal) == ["VE7QRZ", "W0QSL"]
    assert verify(journal).sound


def test_a_screen_that_was_stopped_goes_on(tmp_path: Path):
    """SIGSTOP and SIGCONT, a line typed and a contact from elsewhere meanwhile: both are there afterwards."""
    journal = tmp_path / "j.jsonl"
    with Terminal(fieldtui("session", "--journal", journal)) as hill:
        hill.wait_for("F1 help")
        log(hill, "KD7QSV")
        hill.kill(signal.SIGSTOP)
        os.waitid(os.P_PID, hill.process.pid, os.WSTOPPED | os.WNOWAIT)
        hill.send("w0qsl 59 57\r")
        subprocess.run(fieldtui("add", journal, "ve7qrz 59 57"), check=True, capture_output=True)
        hill.kill(signal.SIGCONT)
        hill.wait_for("W0QSL")
        hill.wait_for("VE7QRZ")
    assert sorted(calls_in(journal)) == ["KD7QSV", "VE7QRZ", "W0QSL"]
    assert verify(journal).sound


def test_a_terminal_of_five_lines_can_be_typed_into_and_grows_back(tmp_path: Path):
    journal = tmp_path / "j.jsonl"
    with Terminal(fieldtui("session", "--journal", journal)) as hill:
        hill.wait_for("F1 help")
        hill.resize(20, 5)
        hill.send("kd7qsv 59 57\r")
        hill.wait_for(lambda: journal.read_bytes().count(b'"kind":"contact-logged"') == 1)
        hill.resize(80, 24)
        hill.wait_for("F1 help")
        hill.wait_for("KD7QSV")
    assert calls_in(journal) == ["KD7QSV"]


class Flood:
    """Offers about a megabyte a second until it is told to stop; what the line does not take is lost, as on a wire."""

    def __init__(self, port: PtyPort, noise: bytes) -> None:
        self.offered_bytes = 0
        self._port, self._noise = port, noise
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._run, name="flood", daemon=True)

    def _run(self) -> None:
        while not self._stop.wait(0.004):
            self._port.write(self._noise)
            self.offered_bytes += len(self._noise)

    def __enter__(self) -> Flood:
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._stop.set()
        self._thread.join()


@pytest.mark.parametrize("noise", [bytes(range(256)) * 16, b"12.84,-0.25\n" * 341], ids=["noise", "readings"])
def test_a_feed_that_floods_keeps_nobody_from_logging(noise: bytes, tmp_path: Path):
    """A megabyte is offered, the line carries what it can; contacts are logged, telemetry comes no faster than ever."""
    journal = tmp_path / "j.jsonl"
    with (
        PtyPort(tmp_path / "shunt") as port,
        Terminal(fieldtui("session", "--journal", journal, "--shunt", port.url)) as hill,
        Flood(port, noise) as flood,
    ):
        hill.wait_for("F1 help")
        for call in ("KD7QSV", "W0QSL", "VE7QRZ"):
            log(hill, call)
        hill.wait_for(lambda: flood.offered_bytes > 1_000_000)
        log(hill, "DL1QRM")
    assert calls_in(journal) == ["KD7QSV", "W0QSL", "VE7QRZ", "DL1QRM"]
    assert journal.stat().st_size < 64 * 1024
    assert verify(journal).sound


def test_a_feed_that_says_nothing_is_said(tmp_path: Path):
    """The port is open and silent: words in the pane, and contacts as ever."""
    journal = tmp_path / "j.jsonl"
    with (
        PtyPort(tmp_path / "shunt") as port,
        Terminal(fieldtui("session", "--journal", journal, "--shunt", port.url)) as hill,
    ):
        hill.wait_for("F1 help")
        hill.wait_for("no reading for")
        hill.wait_for("check the cable")
        log(hill, "KD7QSV")
    assert verify(journal).sound
