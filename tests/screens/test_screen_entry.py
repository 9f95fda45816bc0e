"""Typing is logging: what is typed gets into the journal, or stays where it is with the reason."""

from __future__ import annotations

from pathlib import Path

import pytest

from fieldtui.journal.events import CallHeard, ContactLogged, NoteWritten
from tests.support.journals import of_kind
from tests.support.session import session

MARKUP = "[bold]Rosa[/bold] [/x]"
ESCAPES = "Ro\x1b[31msa\x07\x08\x00"
REORDERED = "Rosa \u202eteiuq\u2066 \u200b\u2028Flat"


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
        ("hello there", "neither a call nor a verb"),
        ("k?7qs? 59", "half heard"),
        ("fix 7 name Ada", "no contact 7"),
        ("channel nowhere", "no channel nowhere"),
        ("volts many", "many is not a number"),
        ("undo", "nothing to take back"),
    ],
)
async def test_what_is_not_understood_stays_with_the_reason(line: str, reason: str, tmp_path: Path):
    """Nothing is written, the text is still there, and one line says why until the next key."""
    async with session(tmp_path / "j.jsonl") as hill:
        before = hill.written
        await hill.enter(line)
        assert hill.typed == line
        assert reason in hill.message
        assert reason in hill.text
        assert hill.written == before
        await hill.type("x")
        assert hill.message == ""
        assert hill.typed == "x", "what is typed next does not join it"
        await hill.press("up")
        assert hill.typed == line, "and it is not lost"


async def test_a_key_that_edits_edits_what_was_refused(tmp_path: Path):
    """Backspace takes one character, an arrow goes to its place; nothing is deleted whole."""
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.enter("hello there")
        await hill.press("backspace")
        assert hill.typed == "hello ther"
        await hill.enter("")
        await hill.press("left")
        await hill.type("x")
        assert hill.typed == "hello thexr"


@pytest.mark.parametrize(
    ("line", "doubt"),
    [
        ("kd7qsv 99 57", "99: readability is 1 to 5"),
        ("kd7qsvvvvvv 59 57", "unusual call"),
    ],
)
async def test_what_is_doubtful_is_logged_and_said(line: str, doubt: str, tmp_path: Path):
    """The operator heard it, the program did not: it goes into the journal, with a word of doubt before and after."""
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.type(line)
        assert doubt in hill.pane("read-back")
        await hill.enter("")
        assert doubt in hill.message
        assert hill.message.startswith("logged KD7QSV")
        assert len(of_kind(hill.journal, ContactLogged)) == 1


@pytest.mark.parametrize(
    ("line", "doubt"),
    [
        ("kd7qsv 59 57 900.5", "outside every amateur band"),
        ("kd7qsv 59 57 Rosa 2m", "a band is not a frequency"),
        ("kd7qsv 59 57 cn994", "a locator is written like"),
    ],
)
async def test_what_would_be_lost_is_logged_at_the_second_enter_only(line: str, doubt: str, tmp_path: Path):
    """Said before Enter; the first Enter keeps the line open, with a word; the second logs it as it stands."""
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.type(line)
        assert doubt in hill.pane("read-back")
        await hill.enter("")
        assert "Enter again" in hill.message
        assert doubt in hill.pane("read-back")
        assert hill.typed == line
        assert of_kind(hill.journal, ContactLogged) == []
        await hill.enter("")
        assert hill.message.startswith("logged KD7QSV")
        assert len(of_kind(hill.journal, ContactLogged)) == 1


async def test_a_line_that_is_mended_is_not_logged_at_once(tmp_path: Path):
    """The second Enter accepts the line that was doubted, and no other."""
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.enter("kd7qsv 59 57 cn994")
        await hill.enter("a")
        assert of_kind(hill.journal, ContactLogged) == []


async def test_tab_takes_what_was_probably_meant(tmp_path: Path):
    """What could be two things is not logged; one key puts the likelier reading into the line."""
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.enter("hb9qso 14.25 59 57 Urs")
        assert of_kind(hill.journal, ContactLogged) == []
        assert "14.25 could be two things" in hill.pane("read-back")
        assert "Tab: " in hill.pane("read-back")
        await hill.pilot.press("tab")
        await hill.enter("")
        (logged,) = of_kind(hill.journal, ContactLogged)
        assert (logged.sent, logged.received, logged.name) == ("59", "57", "Urs")


async def test_the_read_back_tells_what_was_understood(tmp_path: Path):
    """Call spelt out, country, reports, distance and direction, and whether the station was worked before."""
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.enter("ve3qrx 59 57")
        await hill.type("ve3qrx 59 57 fn03 Jo, Quill Lake")
        told = hill.pane("read-back")
        assert "Victor Echo Three Quebec Romeo X-ray" in told
        assert "Canada" in told
        assert "sent 59  received 57" in told
        assert "FN03 3 376 km ENE" in told
        assert "worked once here, last 17:00 as number 1" in told


async def test_the_verbs_write_their_events(tmp_path: Path):
    """One line each, and the screen follows."""
    async with session(tmp_path / "j.jsonl") as hill:
        for line in (
            "heard k?7qu? weak",
            "note wind from the west",
            "kd7qsv 59 57 Rosa",
            "fix 1 name Ada",
            "here cn95aa Marrow Creek",
            "volts 12.9",
            "id cw",
        ):
            await hill.enter(line)
            assert hill.typed == "", line
        assert of_kind(hill.journal, CallHeard)[0].call == "K?7QU?"
        assert of_kind(hill.journal, NoteWritten)[0].text == "wind from the west"
        assert "Ada" in hill.pane("contacts")
        assert "1* 17:00 KD7QSV" in hill.pane("contacts"), "a corrected contact has a mark"
        assert "K?7QU?    heard    weak" in hill.pane("contacts")
        assert hill.app.state.place.locator == "CN95aa"
        assert "12.90 V" in hill.text or "meter" in hill.pane("battery")
        for _ in range(5):
            await hill.enter("undo")
        await hill.until(lambda: "KD7QSV" not in hill.pane("contacts"))


async def test_done_closes_and_the_next_line_still_tells_something(tmp_path: Path):
    """Closed is said, and closing twice is refused in words."""
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.enter("done")
        assert hill.message == "session closed"
        assert not hill.app.state.begun
        await hill.enter("done")
        assert "closed already" in hill.message


async def test_the_arrows_bring_lines_back_and_lose_nothing(tmp_path: Path):
    """Up for earlier lines, Down for what was half typed; changes to an earlier line stay too."""
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.enter("kd7qsv 59 57")
        await hill.enter("w0qsl 55 53")
        await hill.type("ve7qrz 5")
        await hill.press("up")
        assert hill.typed == "w0qsl 55 53"
        await hill.type(" Ada")
        await hill.press("up")
        assert hill.typed == "kd7qsv 59 57"
        await hill.press("up")
        assert hill.typed == "kd7qsv 59 57", "there is nothing before the first"
        await hill.press("down")
        assert hill.typed == "w0qsl 55 53 Ada"
        await hill.press("down")
        assert hill.typed == "ve7qrz 5"
        await hill.press("down")
        assert hill.typed == "ve7qrz 5"


async def test_a_half_typed_line_survives_entering_an_earlier_one(tmp_path: Path):
    """It can be had again with Up, twice: behind the line that was entered."""
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.enter("kd7qsv 59 57")
        await hill.type("ve7qrz 5")
        await hill.press("up", "enter")
        await hill.until(lambda: len(hill.app.state.contacts.standing()) == 2)
        await hill.press("up", "up")
        assert hill.typed == "ve7qrz 5"


async def test_ten_kilobytes_pasted_are_refused_in_words_and_kept(tmp_path: Path):
    """Everything that was pasted is still in the entry line, and the program goes on."""
    pasted = "kd7qsv 59 57 " + "Rosa " * 2000
    async with session(tmp_path / "j.jsonl") as hill:
        before = hill.written
        await hill.paste(pasted)
        await hill.press("enter")
        await hill.until(lambda: hill.message)
        assert hill.typed == pasted
        assert "10,013 characters" in hill.message
        assert hill.written == before
        hill.app.panes.entry.put("")
        await hill.enter("kd7qsv 59 57")
        assert of_kind(hill.journal, ContactLogged)[0].call == "KD7QSV"


async def test_a_paste_of_several_lines_becomes_one(tmp_path: Path):
    """Nothing is entered by a paste itself; the line ends are blanks."""
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.type("note ")
        await hill.paste("first\r\nsecond\tthird")
        assert hill.typed == "note first  second third"
        await hill.press("enter")
        await hill.until(lambda: of_kind(hill.journal, NoteWritten))


@pytest.mark.parametrize("name", [MARKUP, ESCAPES, REORDERED])
async def test_hostile_names_are_drawn_as_plain_text(name: str, tmp_path: Path):
    """Markup is shown as it was typed; what could act on a terminal is gone from screen and journal alike."""
    async with session(tmp_path / "j.jsonl", size=(120, 40)) as hill:
        await hill.type("kd7qsv 59 57 ")
        await hill.paste(name)
        await hill.press("enter")
        await hill.until(lambda: of_kind(hill.journal, ContactLogged))
        await hill.until(lambda: "KD7QSV" in hill.pane("contacts"))
        (contact,) = of_kind(hill.journal, ContactLogged)
        drawn = hill.text.replace("\n", "")
        assert drawn.isprintable()
        assert not set(drawn) & set("\u202e\u2066\u200b\u2028\x1b")
        assert contact.name
        assert contact.name in drawn
        assert contact.name.isprintable()
        assert ("[bold]" in drawn) == ("[bold]" in name)


async def test_a_hostile_journal_is_drawn_as_plain_text(tmp_path: Path):
    """Another program may have written anything into the texts of the file, the station's call included."""
    from fieldtui.journal.events import SessionOpened, TransmissionStarted, Tuned
    from tests.support.hand_clock import HandClock
    from tests.support.journals import write_journal

    clock, texts = HandClock(), f"[/x]{ESCAPES}{REORDERED}{MARKUP}"
    steps = [
        (0.0, SessionOpened(program="x", station_call=texts, place=texts, locator=texts)),
        (1.0, Tuned(hertz=1, mode=texts, channel=texts)),
        (1.0, ContactLogged(id="a", call=texts, sent=texts, received=texts, name=texts, locator=texts)),
        (1.0, CallHeard(id="b", call=texts, text=texts)),
        (1.0, TransmissionStarted(source="key")),
    ]
    write_journal(tmp_path / "j.jsonl", clock, steps, clock.move)
    for size in ((60, 20), (120, 40)):
        async with session(tmp_path / "j.jsonl", clock=clock, size=size) as hill:
            await hill.let_pass(1)
            drawn = hill.text.replace("\n", "")
            assert [character for character in drawn if not character.isprintable()] == []
            assert not set(drawn) & set("\u202e\u2066\u200b\u2028\x1b")
            await hill.enter("kd7qsv 59 57")
            assert "KD7QSV" in hill.pane("contacts")


async def test_nothing_is_entered_by_an_empty_line(tmp_path: Path):
    """Enter on nothing does nothing."""
    async with session(tmp_path / "j.jsonl") as hill:
        before = hill.written
        await hill.press("enter")
        await hill.type("   ")
        await hill.press("enter")
        assert hill.written == before
        assert hill.message == ""
