"""However it is ended, it ends, and the terminal is given back: stopped, continued, unread, absurdly large."""

import fcntl
import signal
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from fieldtui.journal.events import ContactLogged
from fieldtui.journal.verify import verify
from tests.support.journals import of_kind
from tests.support.terminal import Terminal, fieldtui

pytestmark = pytest.mark.terminal

ENDS = {"terminated": signal.SIGTERM, "hung up": signal.SIGHUP}


def calls_in(journal: Path) -> list[str]:
    return [logged.call for logged in of_kind(journal, ContactLogged)]


def opened(folder: Path) -> Terminal:
    hill = Terminal(fieldtui("session", "--journal", folder / "j.jsonl"))
    hill.wait_for("F1 help")
    hill.send("kd7qsv 59 57\r")
    hill.wait_logged("KD7QSV")
    return hill


def continued(hill: Terminal) -> None:
    """A continue signal that no stop came before."""
    hill.kill(signal.SIGCONT)


def stopped_and_continued(hill: Terminal) -> None:
    hill.kill(signal.SIGSTOP)
    hill.kill(signal.SIGCONT)


def suspended_and_continued(hill: Terminal) -> None:
    hill.kill(signal.SIGTSTP)
    end = time.monotonic() + 20
    while Path(f"/proc/{hill.process.pid}/stat").read_text().rpartition(")")[2].split()[0] != "T":
        assert time.monotonic() < end, "it did not stop"
        time.sleep(0.01)
    hill.kill(signal.SIGCONT)
    hill.wait_for(lambda: not hill.cooked)


@pytest.mark.parametrize("before", [continued, stopped_and_continued, suspended_and_continued])
@pytest.mark.parametrize("number", ENDS.values(), ids=ENDS)
def test_it_ends_after_a_continue_signal(
    before: Callable[[Terminal], None], number: signal.Signals, tmp_path: Path
):
    """Two threads once read one terminal after that, and none of them saw the end."""
    with opened(tmp_path) as hill:
        for turn in range(3):
            before(hill)
            hill.send(f"w{turn}qsl 59 55\r")
            hill.wait_logged(f"W{turn}QSL")
        hill.kill(number)
        assert hill.wait_end() == 0
        hill.wait_after_end("journal: ")
        assert hill.restored
    assert calls_in(tmp_path / "j.jsonl") == ["KD7QSV", "W0QSL", "W1QSL", "W2QSL"]
    assert verify(tmp_path / "j.jsonl").sound


def test_a_stop_gives_the_terminal_back_and_a_continue_takes_it_again(tmp_path: Path):
    """What a shell does with a suspended program."""
    with opened(tmp_path) as hill:
        assert not hill.restored
        hill.kill(signal.SIGTSTP)
        hill.wait_for(lambda: hill.restored)
        hill.kill(signal.SIGCONT)
        hill.wait_for(lambda: not hill.cooked)
        hill.send("w0qsl 59 55\r")
        hill.wait_logged("W0QSL")


def wait_for_contacts(hill: Terminal, folder: Path, number: int) -> None:
    hill.wait_for(lambda: len(calls_in(folder / "j.jsonl")) == number)


def unread(hill: Terminal, folder: Path) -> None:
    """Nobody reads the screen any more, and it changes until no more of it is taken: far more than is kept."""
    hill.look_away()
    for turn in range(6):
        hill.resize(120 + turn, 40)
        hill.send(f"w{turn}qsl 59 55\r")
        wait_for_contacts(hill, folder, 2 + turn)
        for size in range(30):
            hill.resize(60 + 3 * size, 20 + size)
            time.sleep(0.01)


@pytest.mark.parametrize("number", ENDS.values(), ids=ENDS)
def test_a_terminal_that_nobody_reads_keeps_nothing_from_the_disk_and_not_the_end(
    number: signal.Signals, tmp_path: Path
):
    """A link that stalls: what is typed is logged all the same, and a signal ends the program."""
    with opened(tmp_path) as hill:
        unread(hill, tmp_path)
        hill.kill(number)
        assert hill.wait_end() in (0, 128 + number)
        hill.look_again()
        hill.wait_after_end("journal: ")
        assert hill.restored
    assert len(calls_in(tmp_path / "j.jsonl")) == 7


def test_a_terminal_that_nobody_read_and_that_goes_ends_it(tmp_path: Path):
    """The stalled link breaks."""
    with opened(tmp_path) as hill:
        unread(hill, tmp_path)
        hill.hang_up()
        hill.wait_end()
    assert len(calls_in(tmp_path / "j.jsonl")) == 7


def test_a_terminal_that_is_read_again_shows_all(tmp_path: Path):
    """What was left out meanwhile is drawn again."""
    with opened(tmp_path) as hill:
        unread(hill, tmp_path)
        hill.resize(80, 24)
        hill.look_again()
        hill.wait_for(lambda: all(f"W{turn}QSL" in hill.text for turn in range(6)))
        hill.send("w7qrt 59 55\r")
        hill.wait_logged("W7QRT")


@pytest.mark.parametrize("size", [(65535, 65535), (65535, 1), (1, 65535), (0, 0), (1, 1)], ids=str)
def test_an_absurd_size_is_survived(size: tuple[int, int], tmp_path: Path):
    """It logs, comes back, holds no gigabytes, and ends."""
    with opened(tmp_path) as hill:
        hill.resize_unseen(*size)
        hill.send("w0qsl 59 55\r")
        hill.wait_for(lambda: calls_in(tmp_path / "j.jsonl") == ["KD7QSV", "W0QSL"])
        hill.resize(80, 24)
        hill.wait_for("W0QSL")
        hill.resize_unseen(*size)
        assert hill.peak_megabytes() < 400
        hill.kill(signal.SIGTERM)
        assert hill.wait_end() == 0


def test_a_size_that_is_typed_changes_nothing(tmp_path: Path):
    """A report of the terminal's size that comes in as text is not believed."""
    with opened(tmp_path) as hill:
        hill.send("\x1b[48;60000;60000;1;1t")
        hill.send("w0qsl 59 55\r")
        hill.wait_logged("W0QSL")
        assert "F1 help" in hill.text.splitlines()[-1]


def test_a_journal_that_nobody_can_write_to_keeps_nobody_from_ending_it(tmp_path: Path):
    """Another program holds it, so the last entry cannot be written: the end is forced, and the terminal is back."""
    with opened(tmp_path) as hill, (tmp_path / "j.jsonl").open("rb") as held:
        fcntl.flock(held, fcntl.LOCK_EX)
        hill.send("w0qsl 59 55\r")
        hill.wait_for("saving: logged W0QSL")
        hill.kill(signal.SIGTERM)
        assert hill.wait_end() == 128 + signal.SIGTERM
        hill.wait_for_restored()
    assert calls_in(tmp_path / "j.jsonl") == ["KD7QSV"]
    assert verify(tmp_path / "j.jsonl").sound


@pytest.mark.slow
@pytest.mark.parametrize("kind", ["continued", "stopped", "unread", "gone"])
def test_two_hundred_times(kind: str, tmp_path: Path):
    """The same, as often as it takes to meet what is rare."""
    for turn in range(200):
        folder = tmp_path / str(turn)
        folder.mkdir()
        with opened(folder) as hill:
            if kind == "continued":
                continued(hill)
                hill.send("w0qsl 59 55\r")
            elif kind == "stopped":
                stopped_and_continued(hill)
                hill.send("w0qsl 59 55\r")
            else:
                unread(hill, folder)
            if kind == "gone":
                hill.hang_up()
            else:
                hill.kill((signal.SIGTERM, signal.SIGHUP)[turn % 2])
            hill.wait_end()
            if kind != "gone":
                hill.look_again()
                hill.wait_after_end("journal: ")
                assert hill.restored
