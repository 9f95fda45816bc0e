"""A disk that does not take what is typed: said across the top, kept in memory, written when it works again."""

from __future__ import annotations

import errno
import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from textual import events

from fieldtui.journal.disk import Disk
from fieldtui.journal.events import (
    ActTakenBack,
    ContactAmended,
    ContactLogged,
    NoteWritten,
    TransmissionEnded,
    TransmissionStarted,
)
from fieldtui.journal.keeper import Keeper
from fieldtui.journal.verify import verify
from tests.support.journals import of_kind
from tests.support.session import session


class Trouble:
    """What the disk answers; nothing while all is well."""

    number = 0


@pytest.fixture
def trouble(monkeypatch: pytest.MonkeyPatch) -> Iterator[Trouble]:
    """Real files, except that writing fails while `number` says so."""
    state, really_write = Trouble(), Disk.write

    def write(self: Disk, descriptor: int, data: bytes) -> int:
        if state.number:
            raise OSError(state.number, os.strerror(state.number))
        return really_write(self, descriptor, data)

    monkeypatch.setattr(Disk, "write", write)
    yield state
    state.number = 0


@pytest.mark.parametrize(
    ("number", "words"),
    [(errno.ENOSPC, "the disk is full"), (errno.EROFS, "read-only"), (errno.EIO, "the disk fails")],
)
async def test_not_saved_is_said_and_what_was_typed_is_written_later(
    number: int, words: str, trouble: Trouble, tmp_path: Path
):
    """In the order in which it was typed, once each, in a sound journal."""
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.enter("kd7qsv 59 57")
        trouble.number = number
        for line in ("w0qsl 59 57", "note still here", "ve7qrz 55 53"):
            await hill.type(line)
            await hill.press("enter")
            assert hill.typed == "", "typing goes on"
        await hill.until(lambda: "NOT SAVED" in hill.text)
        await hill.until(lambda: "3 entries wait in memory" in hill.text)
        assert hill.lines[0].startswith("NOT SAVED"), "across the top"
        assert words in " ".join("".join(hill.lines[:2]).split())
        assert hill.message != "logged VE7QRZ", "nothing is confirmed that is not on the disk"
        assert [contact.call for contact in of_kind(hill.journal, ContactLogged)] == ["KD7QSV"]
        trouble.number = 0
        await hill.until(lambda: len(of_kind(hill.journal, ContactLogged)) == 3)
        await hill.until(lambda: "NOT SAVED" not in hill.text)
        await hill.until(lambda: "VE7QRZ" in hill.pane("contacts"))
        assert [type(event) for event in hill.written][2:] == [ContactLogged, NoteWritten, ContactLogged]
    assert verify(tmp_path / "j.jsonl").sound


async def test_leaving_while_nothing_is_saved_hands_the_entries_over(trouble: Trouble, tmp_path: Path):
    """They are what the screen returns, for the command to print."""
    async with session(tmp_path / "j.jsonl") as hill:
        trouble.number = errno.ENOSPC
        await hill.type("w0qsl 59 57 Ada")
        await hill.press("enter")
        await hill.until(lambda: "NOT SAVED" in hill.text)
        hill.app.leave_now()
        returned = hill.app.return_value or []
        assert [draft.event.name for draft in returned if isinstance(draft.event, ContactLogged)] == ["Ada"]


async def test_a_full_disk_from_the_start(trouble: Trouble, tmp_path: Path):
    """The first line cannot be written: the screen is there, says so, and takes entries."""
    trouble.number = errno.ENOSPC
    from fieldtui.screens.app import SessionApp
    from tests.support.hand_clock import HandClock
    from tests.support.session import Session, settings_for

    clock = HandClock()
    app = SessionApp(settings_for(tmp_path / "j.jsonl", clock))
    async with app.run_test(size=(80, 24)) as pilot:
        hill = Session(app, pilot, clock)
        await hill.until(lambda: app.desk.ready)
        await hill.until(lambda: "NOT SAVED" in hill.text and "the disk is full" in hill.text)
        await hill.type("w0qsl 59 57")
        await hill.press("enter")
        trouble.number = 0
        await hill.until(lambda: of_kind(hill.journal, ContactLogged))
        app.leave_now()


async def test_telemetry_does_not_count_as_waiting_entries(trouble: Trouble, tmp_path: Path):
    """The number in the banner is that of the operator's entries."""
    from fieldtui.journal.events import BatterySampled

    async with session(tmp_path / "j.jsonl") as hill:
        trouble.number = errno.ENOSPC
        for _ in range(50):
            hill.app.link.keeper.submit(BatterySampled(feed="shunt", volts=13.0))
        await hill.type("w0qsl 59 57")
        await hill.press("enter")
        await hill.until(lambda: "(1 entry waits in memory)" in hill.text)


@pytest.mark.filterwarnings("ignore::pytest.PytestUnhandledThreadExceptionWarning")
async def test_a_defect_in_the_journals_thread_is_not_silent(monkeypatch: pytest.MonkeyPatch, tmp_path: Path):
    """Whatever ends that thread, the screen says NOT SAVED, and hands over what waits."""
    async with session(tmp_path / "j.jsonl") as hill:
        monkeypatch.setattr(Keeper, "_round", lambda self, last=False: 1 / 0)
        await hill.until(lambda: not hill.app.link.keeper.is_alive())
        await hill.type("w0qsl 59 57")
        await hill.press("enter")
        await hill.let_pass(1)
        assert "NOT SAVED (1 entry waits in memory): internal error" in hill.text
        hill.app.leave_now()
        returned = hill.app.return_value or []
        assert [draft.event.call for draft in returned if isinstance(draft.event, ContactLogged)] == ["W0QSL"]


async def test_what_is_typed_next_follows_on_what_is_not_written_yet(trouble: Trouble, tmp_path: Path):
    """The disk takes nothing: frequency, contact, over, undo and fix mean what they would mean otherwise."""
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.enter("146.52 fm")
        await hill.enter("kd7qsv 59 57")
        trouble.number = errno.ENOSPC
        await hill.press("f2")
        for line in ("146.55", "w0qsl 59 57", "ve7qrz 59 57"):
            await hill.type(line)
            await hill.press("enter")
        await hill.press("f7", "f3", "f3")
        await hill.type("fix last name Ada")
        await hill.press("enter")
        trouble.number = 0
        await hill.until(lambda: of_kind(hill.journal, ContactAmended))
        contacts = {contact.id: contact for contact in of_kind(hill.journal, ContactLogged)}
        assert [contact.hertz for contact in contacts.values()] == [146_520_000, 146_550_000, 146_550_000]
        (back,) = of_kind(hill.journal, ActTakenBack)
        assert contacts[back.act].call == "VE7QRZ"
        (amended,) = of_kind(hill.journal, ContactAmended)
        assert contacts[amended.contact].call == "W0QSL"
        overs = [
            event for event in hill.written if isinstance(event, TransmissionStarted | TransmissionEnded)
        ]
        assert [type(event) for event in overs] == [TransmissionStarted, TransmissionEnded]


async def test_two_lines_in_one_breath(tmp_path: Path):
    """Typed ahead, as a paste on a console does it: the second line knows the first."""
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.enter("146.52 fm")
        for key in "146.55\rkd7qsv 59 57\r":
            hill.app.post_message(events.Key("enter" if key == "\r" else key, key))
        await hill.until(lambda: of_kind(hill.journal, ContactLogged))
        assert of_kind(hill.journal, ContactLogged)[0].hertz == 146_550_000
