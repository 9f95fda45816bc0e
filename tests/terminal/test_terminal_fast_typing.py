"""Twenty contacts at twelve keys a second, with corrections, half-heard calls and channel changes: nothing is lost."""

from __future__ import annotations

import time

import pytest

from fieldtui.journal.events import (
    ActTakenBack,
    CallHeard,
    ContactAmended,
    ContactLogged,
    Identified,
    Tuned,
)
from tests.support.calls import invented_calls
from tests.support.journals import of_kind
from tests.support.terminal import Terminal, fieldtui

KEYS_A_SECOND = 12
BACKSPACE = "\x7f"


def script() -> tuple[list[str], list[str]]:
    """What is typed, a string a line, and the calls that must be in the journal afterwards, in order."""
    calls, lines, logged = invented_calls(), ["146.52 fm\r"], []
    for number in range(20):
        call = next(calls)
        logged.append(call)
        typed = call.lower()
        if number % 5 == 1:
            # A slip, taken back.
            typed += f" 5{BACKSPACE}58" if number % 2 else f" 69{BACKSPACE}{BACKSPACE}58"
        else:
            typed += " 59 57"
        lines.append(f"{typed} Rosa, Larkspur Flat\r")
        if number % 7 == 3:
            lines.append("heard k?7qu? under the others\r")
        if number % 6 == 4:
            lines.append("fix last name Ada\r")
        if number == 9:
            lines.append("channel 446.000\r")
        if number == 12:
            lines.append("\x1bOQ")
        if number == 15:
            lines += [f"{next(calls).lower()} 59\r", "undo\r"]
    return lines, logged


@pytest.mark.parametrize(("columns", "rows"), [(80, 24), (60, 20)])
@pytest.mark.slow
def test_nothing_typed_at_speed_is_lost(columns, rows, tmp_path):
    """Every key in its turn: calls, reports, corrections and channel are in the journal as they were typed."""
    lines, logged = script()
    journal = tmp_path / "fast.jsonl"
    with Terminal(fieldtui("session", "--journal", journal, "--quiet"), columns=columns, rows=rows) as hill:
        hill.wait_for("no contact yet")
        for line in lines:
            keys = [line] if line.startswith("\x1b") else line
            for key in keys:
                hill.send(key)
                time.sleep(1 / KEYS_A_SECOND)
        hill.wait_for(lambda: len(of_kind(journal, ContactLogged)) == 21)
    check(journal, logged)


def test_nothing_that_arrives_in_one_piece_is_lost(tmp_path):
    """Over a slow link a whole line comes at once, backspaces and Enter in it: they act in the order of typing."""
    lines, logged = script()
    journal = tmp_path / "burst.jsonl"
    with Terminal(fieldtui("session", "--journal", journal, "--quiet")) as hill:
        hill.wait_for("no contact yet")
        for start in range(0, len(lines), 4):
            hill.send("".join(lines[start : start + 4]))
            time.sleep(0.02)
        hill.wait_for(lambda: len(of_kind(journal, ContactLogged)) == 21)
    check(journal, logged)


def check(journal, logged: list[str]) -> None:
    """The journal is exact."""
    contacts = of_kind(journal, ContactLogged)
    withdrawn = {event.act for event in of_kind(journal, ActTakenBack)}
    standing = [contact for contact in contacts if contact.id not in withdrawn]
    assert [contact.call for contact in standing] == logged
    assert [contact.sent for contact in standing] == [
        "58" if number % 5 == 1 else "59" for number in range(20)
    ]
    assert {contact.name for contact in standing} == {"Rosa"}
    assert [contact.hertz for contact in standing] == [146_520_000] * 10 + [446_000_000] * 10
    amended = [event.contact for event in of_kind(journal, ContactAmended)]
    assert amended == [standing[number].id for number in (4, 10, 16)]
    assert len(of_kind(journal, CallHeard)) == 3
    assert len(of_kind(journal, Identified)) == 1
    assert [event.hertz for event in of_kind(journal, Tuned)] == [146_520_000, 446_000_000]
