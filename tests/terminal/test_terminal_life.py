"""What a terminal can do to the program, and in what state the program leaves the terminal."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from fieldtui.journal.events import ContactLogged, SessionClosed
from fieldtui.journal.verify import verify
from tests.support.journals import events_of, of_kind
from tests.support.terminal import Terminal, fieldtui

CRASHING = """
import sys
from fieldtui.cli.main import main
from fieldtui.screens.parts.drawing import Drawing
Drawing.contacts = lambda *_, **__: 1 / 0
sys.exit(main(["session", "--journal", sys.argv[1]]))
"""


def calls_in(journal: Path) -> list[str]:
    """The calls of all contacts, in file order."""
    return [contact.call for contact in of_kind(journal, ContactLogged)]


@pytest.mark.parametrize(
    "noise", [b"\xff", b"\xff\xfe\x80\xc3", b"\x1b[M \xff\xf0"], ids=["byte", "bytes", "mouse"]
)
def test_noise_on_the_input_does_not_end_it(noise: bytes, tmp_path: Path):
    """Bytes that are no text, and an old mouse report from a column past 95; the next contact is logged."""
    with Terminal(fieldtui("session", "--journal", tmp_path / "j.jsonl")) as hill:
        hill.wait_for("F1 help")
        hill.send(noise)
        hill.send("\x15")  # Ctrl+U: what the noise left in the line goes
        hill.send("kd7qsv 59 57\r")
        hill.wait_logged("KD7QSV")
    assert calls_in(tmp_path / "j.jsonl") == ["KD7QSV"]


def test_escape_and_what_follows_it_in_one_packet_are_keys_of_their_own(tmp_path: Path):
    """A slow link brings them together: Escape closes the list, the rest is typed, and no sign is added."""
    with Terminal(fieldtui("session", "--journal", tmp_path / "j.jsonl")) as hill:
        hill.wait_for("F1 help")
        hill.press("f4")
        hill.wait_for("> channel")
        hill.send("\x1bkd7qsv 59 57\x1b\x1b\x1b[D\x1b[C\r")
        hill.wait_logged("KD7QSV")
    assert of_kind(tmp_path / "j.jsonl", ContactLogged)[0].received == "57"


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP])
def test_a_signal_leaves_a_usable_terminal_and_a_whole_journal(number: signal.Signals, tmp_path: Path):
    """Main screen, cursor, echo and line editing are back; what was entered is in a sound journal."""
    with Terminal(fieldtui("session", "--journal", tmp_path / "j.jsonl")) as hill:
        hill.wait_for("F1 help")
        hill.send("kd7qsv 59 57\r")
        hill.wait_logged("KD7QSV")
        before = hill.restored
        hill.kill(number)
        assert hill.wait_end() == 0
        assert (before, hill.restored) == (False, True)
        hill.wait_after_end("journal: ")
    assert calls_in(tmp_path / "j.jsonl") == ["KD7QSV"]
    assert verify(tmp_path / "j.jsonl").sound


@pytest.mark.parametrize("owns_terminal", [True, False], ids=["with a hang-up signal", "without any signal"])
def test_a_terminal_that_is_gone_ends_it(owns_terminal: bool, tmp_path: Path):
    """A dropped connection: the program ends by itself, even if nothing but the line tells it."""
    with Terminal(
        fieldtui("session", "--journal", tmp_path / "j.jsonl"), owns_terminal=owns_terminal
    ) as hill:
        hill.wait_for("F1 help")
        hill.send("kd7qsv 59 57\r")
        hill.wait_logged("KD7QSV")
        hill.hang_up()
        hill.wait_end()
    assert calls_in(tmp_path / "j.jsonl") == ["KD7QSV"]
    assert verify(tmp_path / "j.jsonl").sound


def test_leaving_by_key_is_success_and_the_session_goes_on_next_time(tmp_path: Path):
    """F10 and y: exit 0, the journal is named, the terminal restored; the next start resumes by itself."""
    folder = {"FIELDTUI_JOURNALS": str(tmp_path / "journals")}
    with Terminal(fieldtui("session"), environment=folder) as hill:
        hill.wait_for("F1 help")
        hill.send("kd7qsv 59 57\r")
        hill.wait_logged("KD7QSV")
        hill.press("f10")
        hill.wait_for("y leaves")
        hill.send("y")
        assert hill.wait_end() == 0
        assert hill.restored
        hill.wait_after_end("journal: ")
    with Terminal(fieldtui("session"), environment=folder) as hill:
        hill.wait_for("resumed: 1 contact so far")
        hill.wait_for("KD7QSV")
        hill.press("f9")
        hill.wait_for("closes the session for good")
        hill.send("y")
        hill.wait_for("session closed")
        hill.press("f10")
        assert hill.wait_end() == 0
    (journal,) = (tmp_path / "journals").glob("*.jsonl")
    assert isinstance(events_of(journal)[-1], SessionClosed)


def test_ctrl_c_does_not_end_it_and_ctrl_q_asks(tmp_path: Path):
    """A habit from the shell must not end a session on the hill."""
    with Terminal(fieldtui("session", "--journal", tmp_path / "j.jsonl")) as hill:
        hill.wait_for("F1 help")
        hill.send("kd7qsv 59\x03 57\r")
        hill.wait_logged("KD7QSV")
        hill.send("\x11")
        hill.wait_for("y leaves")
        hill.send("n\x15")
        hill.send("w0qsl 59\r")
        hill.wait_logged("W0QSL")


def test_a_defect_is_a_failure_and_leaves_a_usable_terminal(tmp_path: Path):
    """Exit 1, whatever the screen's library makes of it; the journal is whole."""
    command = [sys.executable, "-c", CRASHING, str(tmp_path / "j.jsonl")]
    with Terminal(command) as hill:
        assert hill.wait_end() == 1
        assert hill.restored
        hill.wait_after_end("ZeroDivisionError")
    assert verify(tmp_path / "j.jsonl").sound


@pytest.mark.parametrize(
    ("words", "reason"),
    [
        (["session"], "needs a terminal"),
        (["demo"], "needs a terminal"),
        (["session", "--journal", "/nowhere/at/all/j.jsonl"], "/nowhere/at/all"),
        (["session", "--station", "/nowhere.toml"], "/nowhere.toml"),
        (["session", "--baud", "fast"], "--baud"),
        (["demo", "--pace", "0"], "--pace takes"),
        (["demo", "--start", "noon"], "--start takes"),
    ],
)
def test_a_wrong_call_is_one_line_and_exit_2(words: list[str], reason: str, tmp_path: Path):
    """Nothing is drawn, nothing is made."""
    environment = {**os.environ, "FIELDTUI_JOURNALS": str(tmp_path / "journals")}
    ended = subprocess.run(
        fieldtui(*words),
        capture_output=True,
        text=True,
        stdin=subprocess.DEVNULL,
        env=environment,
        check=False,
    )
    assert ended.returncode == 2
    assert ended.stdout == ""
    (line,) = ended.stderr.splitlines()
    assert reason in line
    assert not list(tmp_path.iterdir())


def test_the_linux_console_gets_only_its_glyphs_and_its_colours(tmp_path: Path):
    """TERM=linux: characters of code page 437, the eight base colours (console_codes(4)); help and plan too."""
    with Terminal(
        fieldtui("session", "--journal", tmp_path / "j.jsonl"), term="linux", columns=60, rows=20
    ) as hill:
        hill.wait_for("F1 help")
        for keys, seen in ((["f4"], "6 m FM calling"), (["escape", "f1"], "HELP"), (["escape"], "F1 help")):
            hill.press(*keys)
            hill.wait_for(seen)
            hill.text.encode("cp437")
        hill.send("kd7qsv 59 57 Rosa\r")
        hill.wait_logged("KD7QSV")
        hill.text.encode("cp437")
        colours = {
            int(part)
            for found in re.findall(rb"\x1b\[([0-9;]*)m", hill.output)
            for part in found.split(b";")
            if part
        }
        assert colours <= {0, 1, 2, 3, 4, 7, 22, 23, 24, 27, *range(30, 38), 39, *range(40, 48), 49}


def test_the_size_follows_the_terminal(tmp_path: Path):
    """Grown and shrunk while it runs; 300 columns and 1 row do no harm."""
    with Terminal(fieldtui("session", "--journal", tmp_path / "j.jsonl"), columns=80, rows=24) as hill:
        hill.wait_for("F1 help")
        hill.resize(120, 40)
        hill.wait_for("┌─ channels")
        hill.resize(300, 1)
        hill.resize(60, 20)
        hill.wait_for(lambda: "F1 help" in hill.text.splitlines()[-1] and "channels ─" not in hill.text)
        hill.send("kd7qsv 59 57\r")
        hill.wait_logged("KD7QSV")


def test_repainting_parts_leaves_what_a_whole_repaint_shows(tmp_path: Path):
    """Wide letters, a correction, an over, a read-back that shrinks; then all is drawn again, and nothing differs."""
    with Terminal(fieldtui("session", "--journal", tmp_path / "j.jsonl", "--quiet")) as hill:
        hill.wait_for("F1 help")
        for line in (
            "146.52 fm",
            "kd7qsv 59 57 \u7530\u4e2d Łukasz, Larkspur Flat",
            "w0qsl 55",
            "fix 1 name Ro",
            "id",
        ):
            hill.send(line)
            hill.wait_for(f"> {line}")
            hill.send("\r")
            hill.wait_for(lambda: "> a contact" in hill.text)
        hill.press("f3")
        hill.wait_for(lambda: re.search("sending [2-5] s", hill.text))
        hill.press("f3")
        hill.wait_for("over: listening")
        # What is typed may be read in pieces: the call alone says already that the station is new.
        hill.send("ve7qrz 59 57 Lu, Heron Shoal")
        last = (
            "> ve7qrz 59 57 Lu, Heron Shoal",
            "name Lu  place Heron Shoal",
            "new station",
        )
        hill.wait_for(lambda: all(words in hill.text for words in last))
        parts = hill.text.splitlines()[7:]
        hill.resize(81, 24)
        hill.wait_for(lambda: len(hill.text.splitlines()[1]) == 81)
        hill.resize(80, 24)
        hill.wait_for(lambda: hill.text.splitlines()[7:] == parts)
        assert "Ro, Larkspur Flat" in hill.text


def test_an_idle_second_costs_a_few_hundred_bytes(tmp_path: Path):
    """A clock and a countdown tick; only their digits go over the line (a slow one carries 960 bytes a second)."""
    with Terminal(fieldtui("session", "--journal", tmp_path / "j.jsonl")) as hill:
        hill.wait_for("F1 help")
        hill.press("f3")
        hill.wait_for(lambda: re.search("sending [2-5] s", hill.text))
        before = len(hill.output)
        hill.wait_for(lambda: re.search("sending [6-9] s", hill.text))
        assert len(hill.output) - before < 5 * 600


def test_the_bell_is_a_bell(tmp_path: Path):
    """A contact without the call asks for it, and BEL goes out, two strokes; with --quiet it does not."""
    for words, rung in ([], 2), (["--quiet"], 0):
        journal = tmp_path / f"{rung}.jsonl"
        with Terminal(fieldtui("session", "--journal", journal, *words)) as hill:
            hill.wait_for("F1 help")
            hill.send("kd7qsv 59 57\r")
            # Not "saving: logged ...": what comes after the key would stay until the next one.
            hill.wait_logged("KD7QSV")
            hill.send("x")
            hill.wait_for("sign off with your call")
            hill.wait_for(lambda rung=rung: hill.rung == rung)  # type: ignore[misc]


def test_a_folder_that_may_not_be_written_is_said_and_typing_goes_on(tmp_path: Path):
    """NOT SAVED and the remedy across the top; what was typed stays; leaving says that nothing was written."""
    closed = tmp_path / "closed"
    closed.mkdir(0o555)
    if os.getuid() == 0:
        os.chown(closed, 65534, 65534)
    with Terminal(fieldtui("session", "--journal", closed / "j.jsonl"), humble=True) as hill:
        hill.wait_for("NOT SAVED")
        hill.wait_for("no permission to write there")
        hill.send("kd7qsv 59 57\r")
        hill.wait_for("the journal is not open")
        hill.wait_for("> kd7qsv 59 57")
        hill.press("f10")
        assert hill.wait_end() == 1
        hill.wait_after_end("nothing was written")
        assert hill.restored
