"""Typing is logging: what is typed gets into the journal, or stays where it is with the reason."""

from __future__ import annotations

from pathlib import Path

import pytest

from fieldtui.journal.events import CallHeard, ContactAmended, ContactLogged, NoteWritten
from tests.support.journals import of_kind
from tests.support.session import session


async def test_a_contact_is_in_the_journal_and_on_the_screen(tmp_path: Path):
    """What was typed, with what was tuned, in one line that a fresh reader finds."""
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.enter("146.52 fm 10w")
        await hill.enter("kd7qsv 59 57 cn94hb Rosa, Larkspur Flat, on a bicycle, card")
        (contact,) = of_kind(hill.journal, ContactLogged)
        assert (contact.call, contact.sent, contact.received) == ("KD7QSV", "59", "57")
        assert (contact.locator, contact.name, contact.place) == ("CN94hb", "Rosa", "Larkspur Flat")
        assert (contact.remarks, contact.card) == ("on a bicycle", True)
        assert (contact.hertz, contact.mode, contact.watts) == (146_520_000, "FM", 10.0)
        assert hill.typed == ""
        assert hill.message == "logged KD7QSV"
        row = next(line for line in hill.lines if "KD7QSV    59 57" in line)
        assert "Rosa, Larkspur Flat" in row
        assert "card" in row


@pytest.mark.parametrize(
    ("line", "reason"),
    [
        ("hello there", "hello"),
        ("kd7qsv 99", "99"),
        ("kd7qsv 59 57 5.0000001.2", "5.0000001.2"),
        ("fix 7 name Ada", "7"),
        ("channel nowhere", "nowhere"),
        ("note", "note"),
        ("heard", "heard"),
        ("volts many", "many"),
        ("undo", "undo"),
    ],
)
async def test_what_is_not_understood_stays_with_the_reason(line: str, reason: str, tmp_path: Path):
    """Refused: nothing is written, the text is still there, and one line says why."""
    async with session(tmp_path / "j.jsonl") as hill:
        before = hill.written
        await hill.enter(line)
        assert hill.typed == line
        assert reason in hill.message
        assert hill.message in hill.text
        assert hill.written == before
        await hill.type("x")
        assert hill.message == "", "a message stays until the next key, not longer"
