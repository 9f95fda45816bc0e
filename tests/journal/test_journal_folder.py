"""The folder of journals: names that every disk takes, and which session is unfinished."""

from __future__ import annotations

import os
from datetime import UTC, datetime
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldtui.journal.card_events import CardSent
from fieldtui.journal.errors import disk_words
from fieldtui.journal.event_types import Event
from fieldtui.journal.events import NoteWritten, SessionClosed, SessionResumed
from fieldtui.journal.folder import (
    fresh_path,
    is_finished,
    journal_folder,
    journal_name,
    journals,
)
from fieldtui.journal.ids import new_id
from fieldtui.journal.stamp import SystemClock, boot_id
from tests.journal.making import contact, outing, write

OPENED_AT = datetime(2026, 6, 14, 17, 3, 22, tzinfo=UTC)
CLOSED, RESUMED = SessionClosed(), SessionResumed(program="fieldtui test")


@pytest.mark.parametrize(
    ("place", "name"),
    [
        ("Larkspur Ridge", "2026-06-14-1703-larkspur-ridge.jsonl"),
        ("Café Ñandú / 2", "2026-06-14-1703-cafe-nandu-2.jsonl"),
        ("../../etc/passwd", "2026-06-14-1703-etc-passwd.jsonl"),
        ("", "2026-06-14-1703-session.jsonl"),
        (None, "2026-06-14-1703-session.jsonl"),
        ("山", "2026-06-14-1703-session.jsonl"),
        ("x" * 300, f"2026-06-14-1703-{'x' * 40}.jsonl"),
    ],
)
def test_names(place: str | None, name: str) -> None:
    assert journal_name(OPENED_AT, place) == name


@given(st.text(max_size=80))
def test_any_place_gives_a_name_without_folders(place: str) -> None:
    """Letters, digits and hyphens only, and short."""
    name = journal_name(OPENED_AT, place)
    assert Path(name).name == name
    assert name.isascii()
    assert set(name) <= set("abcdefghijklmnopqrstuvwxyz0123456789-.")
    assert len(name) <= 70


def test_a_fresh_path_is_of_no_file(tmp_path: Path) -> None:
    names = []
    for _ in range(3):
        path = fresh_path(tmp_path, OPENED_AT, "Joss Hill")
        path.touch()
        names.append(path.name)
    stem = "2026-06-14-1703-joss-hill"
    assert names == [f"{stem}.jsonl", f"{stem}-2.jsonl", f"{stem}-3.jsonl"]


def test_journals_are_files_with_the_ending_and_nothing_else(tmp_path: Path) -> None:
    """What was set aside beside a journal is not a journal."""
    for name in ("b.jsonl", "a.jsonl", "a.jsonl.torn", "a.jsonl.suspect", "a.jsonl.fresh", "notes.txt"):
        (tmp_path / name).touch()
    (tmp_path / "folder.jsonl").mkdir()
    assert [path.name for path in journals(tmp_path)] == ["a.jsonl", "b.jsonl"]
    assert journals(tmp_path / "gone") == []
    assert journals(tmp_path / "a.jsonl") == []


@pytest.mark.parametrize(
    ("last", "finished"),
    [
        ([], False),
        ([CLOSED], True),
        ([CLOSED, contact(9)], True),
        ([CLOSED, RESUMED], False),
        ([CLOSED, RESUMED, contact(9), CLOSED], True),
        ([NoteWritten(text='"kind":"session-closed"')], False),
        ([CLOSED, *[NoteWritten(text="x" * 3000)] * 10], True),
        ([CLOSED, *[CardSent(contact="4be01f92c7", on="2026-06-20")] * 2000], True),
        ([CLOSED, RESUMED, *[CardSent(contact="4be01f92c7", on="2026-06-20")] * 2000], False),
    ],
)
def test_a_session_is_finished_when_it_was_closed_and_not_resumed(
    tmp_path: Path, last: list[Event], finished: bool
) -> None:
    path = tmp_path / "hill.jsonl"
    write(path, [*outing(), *last])
    assert is_finished(path) is finished


def test_an_empty_journal_is_unfinished(tmp_path: Path) -> None:
    path = tmp_path / "hill.jsonl"
    path.touch()
    assert not is_finished(path)


def test_where_the_folder_is(monkeypatch: pytest.MonkeyPatch) -> None:
    """XDG Base Directory Specification 0.8: data goes to $XDG_DATA_HOME, or ~/.local/share."""
    monkeypatch.setenv("HOME", "/home/quinn")
    monkeypatch.delenv("FIELDTUI_JOURNALS", raising=False)
    monkeypatch.delenv("XDG_DATA_HOME", raising=False)
    assert journal_folder() == Path("/home/quinn/.local/share/fieldtui/journals")
    monkeypatch.setenv("XDG_DATA_HOME", "/data")
    assert journal_folder() == Path("/data/fieldtui/journals")
    monkeypatch.setenv("FIELDTUI_JOURNALS", "~/hill")
    assert journal_folder() == Path("/home/quinn/hill")


def test_ids_differ() -> None:
    """Ten hexadecimal digits: among a thousand entries two alike are one chance in two million."""
    ids = {new_id() for _ in range(1000)}
    assert len(ids) == 1000
    assert all(len(one) == 10 and int(one, 16) >= 0 for one in ids)


def test_the_system_clock_goes_on_and_names_its_boot() -> None:
    """Eight digits of the kernel's boot id, the same for every program of this boot."""
    one, two = SystemClock().now(), SystemClock().now()
    assert two.mono_seconds >= one.mono_seconds > 0
    assert one.at.tzinfo is UTC
    assert one.boot == two.boot == boot_id()
    assert len(boot_id()) == 8


def test_every_disk_error_has_words_of_one_line() -> None:
    """Those with a remedy, and any other as the system says it."""
    for number in range(1, 134):
        try:
            words = disk_words(OSError(number, os.strerror(number)))
        except ValueError:
            continue
        assert words
        assert "\n" not in words
    assert disk_words(OSError("odd")) == "the disk says: odd"
