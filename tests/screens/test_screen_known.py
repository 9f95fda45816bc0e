"""What the screen knows of a station while its call is typed, and the form for those who prefer fields."""

from __future__ import annotations

import threading
from pathlib import Path

import pytest

from fieldtui.journal.events import ContactAmended, ContactLogged, SessionClosed
from fieldtui.journal.file import Draft, Journal
from fieldtui.live.past_calls import PastCalls
from tests.support.hand_clock import HandClock
from tests.support.journals import of_kind
from tests.support.session import OPENING, session


@pytest.fixture
def earlier(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with the journal of an outing before this one; its index lies beside it."""
    monkeypatch.setenv("FIELDTUI_HISTORY", str(tmp_path / "history.sqlite"))
    folder = tmp_path / "journals"
    folder.mkdir()
    contact = ContactLogged(
        id="aa01",
        call="KD7QSV",
        sent="59",
        received="57",
        name="Rosa",
        place="Larkspur Flat",
        locator="CN94hb",
    )
    with Journal(folder / "2026-05-01-1700-larkspur-ridge.jsonl") as journal:
        journal.append([Draft(HandClock().now(), event) for event in (OPENING, contact, SessionClosed())])
        journal.sync()
    return folder


async def test_who_it_is_comes_from_earlier_journals_and_is_taken_with_one_key(earlier: Path):
    """Name, place and locator are offered while typing; Tab takes them, Enter logs them."""
    async with session(earlier / "today.jsonl", earlier_journals=earlier) as hill:
        await hill.type("kd7qsv 59 55 ")
        await hill.until(lambda: "worked once" in hill.pane("read-back"))
        assert "Rosa, Larkspur Flat, CN94hb (Tab takes it)" in hill.pane("read-back")
        await hill.press("tab")
        assert hill.typed == "kd7qsv 59 55 CN94hb Rosa, Larkspur Flat"
        await hill.enter("")
        (contact,) = of_kind(hill.journal, ContactLogged)
        assert (contact.name, contact.place, contact.locator) == ("Rosa", "Larkspur Flat", "CN94hb")


def test_a_call_that_was_asked_before_the_journals_were_read_is_answered_afterwards(earlier: Path):
    """Nobody has to press another key for it."""
    told = threading.Event()
    past = PastCalls(earlier, earlier / "today.jsonl", told.set)
    assert past.answer("KD7QSV").offer is None
    past.start()
    assert told.wait(30), "the screen was told to ask once more"
    told.clear()
    assert past.answer("KD7QSV").offer is None
    assert told.wait(30)
    offer = past.answer("KD7QSV").offer
    past.stop()
    assert offer is not None
    assert offer.name == "Rosa"


async def test_a_half_heard_call_is_matched_with_earlier_journals(earlier: Path):
    """Tab fills in the call that fits."""
    async with session(earlier / "today.jsonl", earlier_journals=earlier) as hill:
        await hill.type("k?7qs?")
        await hill.until(lambda: "could be KD7QSV" in hill.pane("read-back"))
        await hill.press("tab")
        assert hill.typed.split() == ["KD7QSV"]


async def test_where_nothing_is_known_the_district_is_named_and_proves_nothing(tmp_path: Path):
    """A United States call tells where it was issued first."""
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.type("w5qtr 59")
        assert "says nothing about where they are" in hill.pane("read-back")


async def test_the_same_station_again_is_said_and_never_blocked(tmp_path: Path):
    """On the same band, on another band, in another mode."""
    async with session(tmp_path / "j.jsonl", size=(120, 40)) as hill:
        await hill.enter("146.52 fm")
        await hill.enter("kd7qsv 59 57 Rosa")
        await hill.type("kd7qsv 59 57")
        assert "again on the same band" in hill.pane("read-back")
        await hill.type(" 446.0")
        assert "another band" in hill.pane("read-back")
        await hill.enter("")
        assert len(of_kind(hill.journal, ContactLogged)) == 2
        assert "2, 1 station, 2 in the last hour" in hill.pane("contacts")


async def test_a_form_logs_a_contact(tmp_path: Path):
    """Each field is read as `fix` reads it; a wrong one gets the cursor and the reason, and nothing is written."""
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.press("f6")
        await hill.type("kd7qsv")
        await hill.press("down")
        await hill.type("5x")
        await hill.press("f10")
        assert "not a report" in hill.text
        assert of_kind(hill.journal, ContactLogged) == []
        await hill.press("backspace")
        await hill.type("9")
        await hill.press("down", "down")
        await hill.type("Rosa")
        await hill.press("f10")
        await hill.until(lambda: of_kind(hill.journal, ContactLogged))
        (contact,) = of_kind(hill.journal, ContactLogged)
        assert (contact.call, contact.sent, contact.name) == ("KD7QSV", "59", "Rosa")


async def test_a_form_corrects_a_contact_and_every_version_stays(tmp_path: Path):
    """Only what was changed is written; the list marks it, and `fix` tells what it was."""
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.enter("kd7qsv 59 57 Rosa, Larkspur Flat")
        await hill.type("fix 1")
        await hill.press("f6", "down", "down", "down")
        await hill.press("backspace", "backspace", "backspace", "backspace")
        await hill.type("Ada")
        await hill.press("f10")
        await hill.until(lambda: of_kind(hill.journal, ContactAmended))
        (amended,) = of_kind(hill.journal, ContactAmended)
        assert amended.name == "Ada"
        assert "1* " in hill.pane("contacts")
        await hill.type("fix 1 name Rosa")
        assert "name was Rosa" in hill.pane("read-back")


async def test_a_form_given_up_writes_nothing_and_keeps_the_line(tmp_path: Path):
    """Escape."""
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.type("kd7qsv 59")
        await hill.press("f6")
        assert "KD7QSV" in hill.text
        await hill.press("escape")
        assert hill.typed == "kd7qsv 59"
        assert of_kind(hill.journal, ContactLogged) == []


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("w0qsl 59 ", "new station"),
        ("w0qsl 59 cn95ab ", "new station, new square CN95"),
        ("kd7qsv 59 cn95ab ", "new square CN95, new on 70 cm; worked once"),
        ("kd7qsv/p 59 cn94aa ", "new on 70 cm; worked once"),
    ],
)
async def test_what_is_new_about_a_contact_is_said_before_it_is_logged(earlier: Path, typed: str, words: str):
    """KD7QSV was worked in CN94 before, without a frequency: no band is known of that contact."""
    async with session(earlier / "today.jsonl", earlier_journals=earlier) as hill:
        await hill.enter("446.0 fm")
        await hill.type(typed)
        await hill.until(lambda: words in hill.pane("read-back"))
        await hill.enter("")
        await hill.type(typed)
        await hill.until(lambda: "again on the same band" in hill.pane("read-back"))
        assert "new" not in hill.pane("read-back")


async def test_where_nothing_can_be_looked_up_nothing_is_called_new(tmp_path: Path):
    """Without the journals of earlier outings a station may have been worked a hundred times."""
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.type("ve7qrz 59 cn95 ")
        await hill.until(lambda: "first contact with this station" in hill.pane("read-back"))
        assert "new" not in hill.pane("read-back")


@pytest.mark.parametrize("size", [(60, 20), (80, 24)])
@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("m0qrn 59 57 ", "United Kingdom"),
        ("vp2m/k1qrn 59 57 ", "now in VP2M (United Kingdom)"),
        ("vp2m/k1qrn 59 57 fk86 Lu, Heron Bay", "now in VP2M (United Kingdom)"),
        ("w7qrv/mm 59 57 ", "at sea; licence: United States"),
    ],
)
async def test_the_country_of_a_call_always_finds_room(
    tmp_path: Path, size: tuple[int, int], typed: str, words: str
):
    """A call with strokes takes a whole narrow line when it is spelt."""
    async with session(tmp_path / "j.jsonl", size=size) as hill:
        await hill.type(typed)
        await hill.until(lambda: words in hill.pane("read-back"))
