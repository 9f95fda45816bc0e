"""What reaches a terminal, a pipe and a script: no colour where none is wanted, no text that acts."""

from __future__ import annotations

import re
import subprocess
import sys
from datetime import UTC, datetime

import pytest

from fieldtui.journal.event_types import Event
from fieldtui.journal.events import CallHeard, ContactLogged, NoteWritten, SessionOpened
from fieldtui.journal.file import Draft, Journal
from fieldtui.journal.stamp import Stamp

HOSTILE = "\x1b]0;owned\x07\x1b[2J[bold red]\u202eevil\u2028[/] \x9b31m\r\nfieldtui: sound"
ACTS = re.compile("[\x00-\x09\x0b-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069]")
"""Characters that act on a terminal; the line feed is ours."""


def journal_of(path, *events: Event) -> None:
    """A journal with these events, sound in every sum."""
    at = datetime(2026, 6, 14, 17, 0, tzinfo=UTC)
    with Journal(path) as journal:
        journal.append(
            [Draft(Stamp(at, 100.0 + number, "b007"), event) for number, event in enumerate(events)]
        )


@pytest.fixture
def hostile_journal(tmp_path):
    """Every text of it is hostile, as if another program had written it."""
    path = tmp_path / "hostile.jsonl"
    contact = ContactLogged(
        id=HOSTILE, call=HOSTILE, sent=HOSTILE, received=HOSTILE, name=HOSTILE, place=HOSTILE, mode=HOSTILE,
        locator=HOSTILE, remarks=HOSTILE,
    )  # fmt: skip
    journal_of(
        path,
        SessionOpened(program=HOSTILE, station_call=HOSTILE, place=HOSTILE, locator=HOSTILE, rule=HOSTILE),
        contact,
        CallHeard(id=HOSTILE + "2", call=HOSTILE, text=HOSTILE),
        NoteWritten(text=HOSTILE),
    )
    return path


@pytest.mark.parametrize(
    "words", [("show",), ("show", "--json"), ("verify",), ("verify", "--json")], ids=" ".join
)
def test_hostile_text_in_a_journal_does_not_act(run, hostile_journal, words):
    told = run(words[0], hostile_journal, *words[1:])
    assert told.code == 0
    assert told.err == ""
    assert not ACTS.search(told.out)


def test_markup_in_a_journal_is_text(run, hostile_journal):
    """Square brackets are drawn, not obeyed."""
    assert "[bold red]" in run("show", hostile_journal, COLUMNS="400").out


def test_hostile_bytes_in_a_damaged_journal_do_not_act(run, hostile_journal):
    hostile_journal.write_bytes(hostile_journal.read_bytes() + HOSTILE.encode() + b"\xff\xfe\n" * 3)
    for words in (("show",), ("verify",), ("verify", "--json")):
        told = run(words[0], hostile_journal, *words[1:])
        assert not ACTS.search(told.out + told.err)


def test_a_hostile_file_name_does_not_act(run, tmp_path, hostile_journal):
    named = tmp_path / "\x1b[2J\u202e.jsonl"
    hostile_journal.rename(named)
    for words in (
        ("show", named),
        ("verify", named),
        ("verify", f"{named}.none"),
        ("add", f"{named}/x", "note x"),
    ):
        told = run(*words)
        assert not ACTS.search(told.out + told.err)


@pytest.mark.parametrize("more", [{}, {"NO_COLOR": "1"}], ids=["piped", "NO_COLOR"])
def test_no_colour_in_a_pipe(run, more):
    run("add", "hill.jsonl", "kd7qsv 59 57 Rosa")
    run("station", "init", "--no-questions", "--call", "W7QRV")
    for line in (
        "show hill.jsonl",
        "verify hill.jsonl",
        "parse kd7qsv",
        "calc call KD7QSV",
        "station show",
    ):
        told = run(*line.split(), **more)
        assert told.code == 0
        assert told.out
        assert "\x1b" not in told.out + told.err


@pytest.mark.parametrize(
    "words", [("verify", "hill.jsonl"), ("show", "hill.jsonl"), ("show", "hill.jsonl", "--json"), ("--help",)]
)
def test_a_reader_that_goes_away_ends_the_command_in_peace(environment, tmp_path, run, words):
    """`fieldtui show ... | head -1`: no complaint, exit 0."""
    run("add", "hill.jsonl", "kd7qsv 59 57 Rosa")
    with subprocess.Popen(
        [sys.executable, "-u", "-m", "fieldtui", *words],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        cwd=tmp_path,
        env=environment,
    ) as command:
        assert command.stdout is not None
        assert command.stderr is not None
        command.stdout.close()
        complaint = command.stderr.read()
    assert complaint == ""
    assert command.returncode == 0


def test_a_terminal_that_lacks_characters_gets_escapes(run):
    """A console without UTF-8 still shows the rest."""
    told = run("parse", "kd7qsv 59 57 Zoë", LANG="C", PYTHONIOENCODING="ascii")
    assert told.code == 0
    assert "Zo" in told.out


def test_bytes_that_are_no_text_are_replaced(environment, tmp_path):
    """A shell hands over any bytes."""
    done = subprocess.run(
        [sys.executable, "-m", "fieldtui", "add", "hill.jsonl", b"note \xff\xfe"],
        capture_output=True,
        cwd=tmp_path,
        env=environment,
    )
    assert done.returncode == 0
    assert "\ufffd" in (tmp_path / "hill.jsonl").read_text("utf-8")


def test_an_output_that_takes_nothing_is_told_in_one_line_and_what_was_saved_stays(environment, tmp_path):
    """A full disk behind a redirection, and an output that the caller closed: no traceback, no second complaint."""
    program = [sys.executable, "-m", "fieldtui"]
    with open("/dev/full", "w") as full:
        said = subprocess.run(
            [*program, "add", "hill.jsonl", "kd7qsv 59 57"],
            stdout=full, stderr=subprocess.PIPE, text=True, cwd=tmp_path, env=environment, check=False,
        )  # fmt: skip
    assert said.returncode == 1
    assert (
        said.stderr == "fieldtui: add: its output could not be written: the disk is full: delete something\n"
    )
    closed = subprocess.run(
        ["sh", "-c", '"$@" >&-', "sh", *program, "add", "hill.jsonl", "w0qsl 57 55"],
        capture_output=True, text=True, cwd=tmp_path, env=environment, check=False,
    )  # fmt: skip
    assert (closed.returncode, closed.stderr) == (0, "")
    unheard = subprocess.run(
        ["sh", "-c", '"$@" <&-', "sh", *program, "cards", "address", "KD7QSV"],
        capture_output=True, text=True, cwd=tmp_path, env=environment, check=False,
    )  # fmt: skip
    assert unheard.returncode == 1
    assert unheard.stderr.startswith("fieldtui: the address is empty")
    with Journal(tmp_path / "hill.jsonl", writable=False) as journal:
        kinds = [envelope.kind for batch in journal.follow() for envelope in batch.envelopes]
    assert kinds == ["session-opened", "contact-logged", "contact-logged"]
