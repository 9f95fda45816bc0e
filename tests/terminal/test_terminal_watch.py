"""A screen that only watches, in a real terminal: it shows what others write, and can write nothing."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest

from fieldtui.journal.events import NoteWritten
from fieldtui.journal.file import Batch
from fieldtui.journal.follower import Follower
from tests.support.terminal import Terminal, fieldtui


def add(journal: Path, *line: str) -> None:
    """Write a line from a shell."""
    subprocess.run(fieldtui("add", journal, *line), check=True, capture_output=True)


def test_it_shows_what_others_write_and_takes_no_key_for_an_entry(tmp_path: Path):
    journal = tmp_path / "j.jsonl"
    add(journal, "kd7qsv 59 57 Rosa")
    with Terminal(fieldtui("session", "--watch", "--journal", journal)) as screen:
        screen.wait_for("KD7QSV")
        screen.wait_for("watching only")
        before = journal.read_bytes()
        screen.send("ve7qrz 59 57\r")
        screen.press("f2", "f3", "f7", "f9")
        screen.wait_for("closes the session for good")
        screen.send("y")
        screen.wait_for(lambda: "for good?" not in screen.text)
        screen.press("f1")
        screen.wait_for("answer a reminder")
        screen.press("escape")
        screen.wait_for("give your call")
        add(journal, "w0qsl 57 55 Ada")
        screen.wait_for("W0QSL")
        assert journal.read_bytes().startswith(before)
        assert journal.read_bytes()[len(before) :].count(b"\n") == 1, "only what the shell wrote"
        assert "VE7QRZ" not in screen.text
        screen.press("f10")
        screen.wait_for("y leaves")
        screen.send("y")
        assert screen.wait_end() == 0


def test_a_journal_that_is_still_to_come_is_waited_for(tmp_path: Path):
    journal = tmp_path / "j.jsonl"
    with Terminal(fieldtui("session", "--watch", "--journal", journal)) as screen:
        screen.wait_for("j.jsonl is not there yet")
        assert not journal.exists()
        add(journal, "kd7qsv 59 57")
        screen.wait_for("KD7QSV")
        screen.wait_for(lambda: "is not there yet" not in screen.text)


def test_without_any_journal_there_is_nothing_to_watch(tmp_path: Path):
    with Terminal(fieldtui("session", "--watch"), environment={"FIELDTUI_JOURNALS": str(tmp_path)}) as screen:
        screen.wait_after_end("there is no journal to watch yet")
        assert screen.wait_end() == 2
    assert list(tmp_path.iterdir()) == []


def test_the_thread_behind_it_refuses_to_write(tmp_path: Path):
    batches: list[Batch] = []
    follower = Follower(
        tmp_path / "j.jsonl", on_batch=batches.append, on_trouble=lambda words: None, on_read=lambda: None
    )
    with pytest.raises(PermissionError):
        follower.submit(NoteWritten(text="wind"))
    assert follower.stop() == follower.unsaved() == []
