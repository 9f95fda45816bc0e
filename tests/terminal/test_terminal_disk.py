"""A disk that is full under a running screen, made by the limit on file sizes (setrlimit(2), RLIMIT_FSIZE)."""

from __future__ import annotations

import json
import re
import resource
from pathlib import Path

from fieldtui.journal.events import ContactLogged, NoteWritten
from fieldtui.journal.stamp import boot_id
from fieldtui.journal.verify import verify
from tests.support.journals import of_kind
from tests.support.terminal import Terminal, fieldtui


def limit(hill: Terminal, size: int) -> None:
    """From now on no file of that program may grow beyond this size."""
    _, hard = resource.prlimit(hill.process.pid, resource.RLIMIT_FSIZE)
    resource.prlimit(hill.process.pid, resource.RLIMIT_FSIZE, (size, hard))


def test_what_a_full_disk_does_not_take_is_written_when_there_is_room(tmp_path: Path):
    """A line is cut short by the limit: it is taken back, said, kept, and written whole later."""
    journal = tmp_path / "j.jsonl"
    with Terminal(fieldtui("session", "--journal", journal)) as hill:
        hill.wait_for("F1 help")
        hill.send("kd7qsv 59 57\r")
        hill.wait_logged("KD7QSV")
        limit(hill, journal.stat().st_size + 40)
        hill.send("w0qsl 59 57 Ada\r")
        hill.wait_for("NOT SAVED (1 entry waits in memory)")
        hill.send("note the lamp is out\r")
        hill.wait_for("NOT SAVED (2 entries wait in memory)")
        assert [contact.call for contact in of_kind(journal, ContactLogged)] == ["KD7QSV"]
        limit(hill, resource.RLIM_INFINITY)
        hill.wait_for(lambda: "NOT SAVED" not in hill.text)
        hill.wait_for("W0QSL")
    assert [contact.call for contact in of_kind(journal, ContactLogged)] == ["KD7QSV", "W0QSL"]
    assert [note.text for note in of_kind(journal, NoteWritten)] == ["the lamp is out"]
    assert verify(journal).sound


def test_leaving_with_a_full_disk_prints_what_was_entered(tmp_path: Path):
    """Exit 1; the entries are on the terminal and in a file elsewhere; the journal is whole."""
    journal = tmp_path / "j.jsonl"
    with Terminal(
        fieldtui("session", "--journal", journal), columns=200, environment={"TMPDIR": str(tmp_path)}
    ) as hill:
        hill.wait_for("F1 help")
        hill.send("kd7qsv 59 57\r")
        hill.wait_logged("KD7QSV")
        limit(hill, journal.stat().st_size)
        hill.send("w0qsl 59 57 Ada\r")
        hill.wait_for("NOT SAVED")
        hill.press("f10")
        hill.wait_for("y leaves")
        hill.send("y")
        assert hill.wait_end() == 1
        assert hill.restored
        hill.wait_after_end("1 entry is NOT in the journal")
        hill.wait_after_end("they are also in")
        assert '"call":"W0QSL"' in hill.text
        (name,) = re.findall(r"they are also in (\S+)", hill.text)
    # A journal of its own, with the moment when it was typed: nothing has to be written out by hand.
    assert verify(Path(name)).sound
    (line,) = Path(name).read_text().splitlines()
    assert json.loads(line)["data"]["name"] == "Ada"
    assert json.loads(line)["boot"] == boot_id()
    (kept,) = of_kind(Path(name), ContactLogged)
    assert kept.call == "W0QSL"
    assert verify(journal).sound
    assert [contact.call for contact in of_kind(journal, ContactLogged)] == ["KD7QSV"]
