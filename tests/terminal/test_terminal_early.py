"""Typing does not wait until a long journal has been read: what was entered early is logged all the same."""

from __future__ import annotations

from pathlib import Path

from fieldtui.journal.events import ContactLogged
from tests.bench.long_session import CONTACTS, write_day
from tests.support.journals import of_kind
from tests.support.terminal import Terminal, fieldtui


def test_lines_entered_at_once_are_logged_in_their_order(tmp_path: Path):
    journal = tmp_path / "day.jsonl"
    write_day(journal)
    with Terminal(fieldtui("session", "--journal", journal)) as hill:
        hill.wait_for("F1 help")
        hill.send("kd7qsv 59 57 Rosa\rw0qsl 57 55 Ida\rk1q")
        hill.wait_for(f"{CONTACTS + 2}  ")
        hill.wait_for("> k1q")
        hill.wait_logged("W0QSL")
    logged = of_kind(journal, ContactLogged)[CONTACTS:]
    assert [(event.call, event.name) for event in logged] == [("KD7QSV", "Rosa"), ("W0QSL", "Ida")]
