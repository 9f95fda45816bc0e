"""The function keys: each does what its verb does, none loses what is typed, and questions are answered safely."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual import events

from fieldtui.journal.events import (
    ActTakenBack,
    ContactLogged,
    Identified,
    SessionClosed,
    TransmissionEnded,
    TransmissionStarted,
    Tuned,
)
from fieldtui.screens.keys import ACTIONS, PAGES, Action, clashes, key_line, keys_of, shown_key
from tests.support.journals import of_kind
from tests.support.session import help_words, session

HALF = "kd7qsv 59 5"


async def test_f2_and_its_verb_mark_the_call(tmp_path: Path):
    """Both write the same event, with the station's call as what was said; typing is not disturbed."""
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.type(HALF)
        await hill.press("f2")
        await hill.until(lambda: of_kind(hill.journal, Identified))
        await hill.until(lambda: "call given" in hill.message)
        assert hill.typed == HALF
        hill.app.panes.entry.put("")
        await hill.enter("id")
        first, second = of_kind(hill.journal, Identified)
        assert [(each.said, each.method) for each in (first, second)] == [("W7QRV", "phone")] * 2


async def test_f3_and_its_verb_begin_and_end_an_over(tmp_path: Path):
    """The same key begins and ends it; the time between is counted."""
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.press("f3")
        await hill.until(lambda: hill.app.state.identification.sending_since is not None)
        assert hill.message == "sending"
        await hill.let_pass(20)
        assert "sending 20 s" in hill.pane("identification")
        await hill.enter("over")
        assert len(of_kind(hill.journal, TransmissionStarted)) == 1
        assert len(of_kind(hill.journal, TransmissionEnded)) == 1
        assert hill.app.state.battery.transmit_seconds == pytest.approx(20)


async def test_f7_and_its_verb_take_back_one_act_each(tmp_path: Path):
    """The newest first; the lines stay in the file; with none left it says so, and that stays to be read."""
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.enter("kd7qsv 59 57")
        await hill.enter("w0qsl 59 57")
        await hill.press("f7")
        await hill.until(lambda: "taken back" in hill.message)
        assert hill.message == "taken back: contact 2 W0QSL"
        await hill.enter("undo")
        assert len(of_kind(hill.journal, ContactLogged)) == 2
        assert len(of_kind(hill.journal, ActTakenBack)) == 2
        assert "no contact yet" in hill.pane("contacts")
        await hill.press("f7")
        assert "nothing to take back" in hill.message
        await hill.press("shift+f7")
        await hill.until(lambda: "KD7QSV" in hill.pane("contacts"))
        assert hill.message == "brought back: contact 1 KD7QSV"
        assert "W0QSL" not in hill.pane("contacts")
        await hill.enter("redo")
        assert "W0QSL" in hill.pane("contacts")


async def test_two_screens_agree_on_what_was_taken_back(tmp_path: Path):
    """What one takes back is gone from the other, which can bring it back."""
    async with session(tmp_path / "j.jsonl") as hill, session(tmp_path / "j.jsonl") as other:
        await hill.enter("146.52 fm")
        await hill.enter("kd7qsv 59 57")
        await other.until(lambda: "KD7QSV" in other.pane("contacts"))
        await hill.press("f7")
        await other.until(lambda: "KD7QSV" not in other.pane("contacts"))
        await other.enter("redo")
        await hill.until(lambda: "KD7QSV" in hill.pane("contacts"))
        await hill.press("f7")
        await hill.press("f7")
        await other.until(lambda: other.app.state.tuning.hertz is None)
        assert hill.app.state.tuning.hertz is None


async def test_a_call_owed_on_a_channel_is_asked_for_before_it_is_left(tmp_path: Path):
    """Below the line, while it is typed; tuned all the same, since the radio may be there already, and told."""
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.enter("146.52 fm")
        await hill.press("f3", "f3")
        await hill.until(lambda: hill.app.state.identification.record.transmissions)
        await hill.type("446.0 fm")
        assert "your call is owed on 146.520 MHz: give it there first" in hill.pane("read-back")
        await hill.press("f2")
        await hill.until(lambda: "owed" not in hill.pane("read-back"))
        await hill.let_pass(20)
        await hill.press("f3", "f3")
        await hill.enter("")
        assert hill.app.state.tuning.hertz == 446_000_000
        assert "no call was marked on 146.520 MHz" in hill.message
        assert hill.app.state.identification.record.unmarked == 1


async def test_f4_shows_the_plan_and_a_half_typed_line_comes_back(tmp_path: Path):
    """The plan is chosen from in the entry line; Enter tunes what it marks, and the line before is there again."""
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.type(HALF)
        await hill.press("f4")
        assert hill.typed == "channel "
        assert "146.520 FM" in hill.text
        await hill.type("146.52")
        (marked,) = [line for line in hill.text.splitlines() if line.startswith("*")]
        assert "146.520" in marked
        await hill.press("enter")
        await hill.until(lambda: of_kind(hill.journal, Tuned))
        assert of_kind(hill.journal, Tuned)[0].hertz == 146_520_000
        assert hill.typed == HALF
        await hill.until(lambda: "146.520 FM" in hill.pane("tuned"))
        await hill.type("7")
        await hill.enter("")
        assert of_kind(hill.journal, ContactLogged)[0].received == "57"


@pytest.mark.parametrize("key", ["escape", "f4", "enter"])
async def test_the_plan_is_shut_again_and_nothing_is_tuned(key: str, tmp_path: Path):
    """By Escape, by its own key, or by Enter on nothing chosen."""
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.type(HALF)
        await hill.press("f4", key)
        assert not hill.app.choosing.open
        assert hill.typed == HALF
        assert of_kind(hill.journal, Tuned) == []


async def test_what_was_typed_in_the_plan_is_not_lost_by_escape(tmp_path: Path):
    """A contact typed over the word `channel` by mistake is found again with Up."""
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.type(HALF)
        await hill.press("f4")
        hill.app.panes.entry.put("")
        await hill.type("w0qsl 57")
        await hill.press("escape")
        assert hill.typed == HALF
        await hill.press("up")
        assert hill.typed == "w0qsl 57"


async def test_no_such_channel_is_said_in_the_plan(tmp_path: Path):
    """And Enter tunes nothing, keeps the words."""
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.press("f4")
        await hill.type("nowhere")
        assert "no such channel" in hill.pane("plan")
        await hill.press("enter")
        assert "nowhere" in hill.message
        assert hill.typed == "channel nowhere"
        assert of_kind(hill.journal, Tuned) == []


async def test_the_verb_channel_needs_no_plan(tmp_path: Path):
    """By number as the plan shows it."""
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.enter("channel 8")
        (tuned,) = of_kind(hill.journal, Tuned)
        assert tuned.hertz == hill.app.setup.settings.plan.channels[7].receive_hertz


async def test_f8_turns_the_bell_off_and_on_and_says_so(tmp_path: Path):
    """What it says stays until the next key."""
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.press("f8")
        assert "bell off" in hill.message
        await hill.press("f8")
        assert hill.message == "bell on"


async def test_f9_closes_only_after_yes(tmp_path: Path):
    """Asked in words; `y` closes, and it is in the journal."""
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.press("f9")
        assert "closes the session for good" in hill.text
        assert of_kind(hill.journal, SessionClosed) == []
        await hill.press("y")
        await hill.until(lambda: of_kind(hill.journal, SessionClosed))
        await hill.until(lambda: hill.message == "session closed")
        assert hill.typed == ""


@pytest.mark.parametrize("key", ["f9", "f10"])
async def test_another_key_says_no_and_is_not_lost(key: str, tmp_path: Path):
    """The letter goes on the half typed line, where it was meant to go."""
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.type(HALF)
        await hill.press(key)
        assert hill.typed == HALF, "what is half typed stays in sight"
        await hill.type("7 Rosa")
        assert hill.typed == HALF + "7 Rosa"
        assert "?" not in hill.message
        assert hill.app.state.begun
        assert hill.app.is_running
        assert not hill.app.intended_exit


@pytest.mark.parametrize("answer", ["escape", "enter"])
async def test_escape_and_enter_only_say_no(answer: str, tmp_path: Path):
    """A half typed contact is not entered by an Enter that was meant for the question."""
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.type("kd7qsv 59 57")
        await hill.press("f9", answer)
        assert hill.typed == "kd7qsv 59 57"
        assert hill.message == ""
        assert of_kind(hill.journal, ContactLogged) == []
        await hill.press("enter")
        await hill.until(lambda: of_kind(hill.journal, ContactLogged))


async def test_a_question_out_of_sight_is_never_answered(tmp_path: Path):
    """Another function key takes the question away; a `y` typed later is a letter, not a yes."""
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.press("f9", "f2")
        await hill.until(lambda: "call given" in hill.message)
        await hill.type("y")
        assert hill.typed == "y"
        assert of_kind(hill.journal, SessionClosed) == []


async def test_a_question_is_not_covered_by_what_is_saved_meanwhile(tmp_path: Path):
    """The disk is slow: the line before is confirmed while the question stands."""
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.type("kd7qsv 59 57")
        await hill.press("enter", "f9")
        await hill.until(lambda: len(hill.app.state.contacts.standing()) == 1)
        await hill.settle()
        assert "closes the session for good" in hill.message


async def test_a_paste_answers_no_and_is_kept(tmp_path: Path):
    """Even if it is a `y`."""
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.press("f9")
        await hill.paste("y")
        assert hill.typed == "y"
        assert of_kind(hill.journal, SessionClosed) == []


async def test_the_plan_and_a_question_do_not_lose_the_line(tmp_path: Path):
    """Half typed, plan shown, question asked and denied, plan shut: the line is there."""
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.type(HALF)
        await hill.press("f4", "f9")
        await hill.type("n")
        await hill.press("escape")
        assert hill.typed == HALF


async def test_f10_leaves_after_yes_and_the_session_stays_open(tmp_path: Path):
    """Leaving the screen is not closing the session."""
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.press("f10")
        assert "goes on next time" in hill.message
        await hill.press("y")
        await hill.until(lambda: hill.app.intended_exit)
        assert of_kind(hill.journal, SessionClosed) == []


async def test_f10_asks_nothing_once_the_session_is_closed(tmp_path: Path):
    """There is nothing left to lose."""
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.enter("done")
        await hill.press("f10")
        await hill.until(lambda: hill.app.intended_exit)


async def test_escape_never_throws_text_away(tmp_path: Path):
    """Pressed three times, on a half typed line."""
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.type(HALF)
        await hill.press("escape", "escape", "escape")
        assert hill.typed == HALF


async def test_the_help_shows_every_key_and_any_key_shuts_it(tmp_path: Path):
    """The clock ticks meanwhile, contacts come in, and the half typed line is there afterwards."""
    async with session(tmp_path / "j.jsonl", size=(80, 64)) as hill:
        await hill.type(HALF)
        await hill.press("f1")
        for action in ACTIONS:
            assert action.what in hill.text
            assert shown_key(hill.app.setup.keys[action.name]) in hill.text
        assert "keys no transmitter, but for a packet that you order" in " ".join(hill.text.split())
        await hill.let_pass(1)
        await hill.press("down")
        assert "THE ENTRY LINE" in hill.text, "arrows scroll it and do not shut it"
        await hill.press("f2")
        assert "THE ENTRY LINE" not in hill.text
        assert hill.typed == HALF
        assert not [event for event in hill.written if isinstance(event, Identified)], "it only shuts"
        await hill.press("f1", "7")
        assert "THE ENTRY LINE" not in hill.text
        assert hill.typed == HALF + "7", "a letter is typed where letters go"


async def test_pages_scroll_the_contacts(tmp_path: Path):
    """Older ones come into sight, and a new contact brings the newest back."""
    async with session(tmp_path / "j.jsonl", size=(60, 20)) as hill:
        for number in range(12):
            await hill.enter(f"k{number % 10}q{'rstu'[number % 4]}{chr(97 + number)} 59 57")
        first, newest = "K0QRA", "K1QUL"
        assert newest in hill.text
        assert first not in hill.text
        await hill.press("pageup", "pageup", "pageup", "pageup")
        assert first in hill.text
        assert newest not in hill.text
        await hill.press("pagedown")
        await hill.enter("w0qsl 59 57")
        assert "W0QSL" in hill.text


async def test_a_key_can_be_another(tmp_path: Path):
    """The station file's key does it, the usual one does not, and the screen names the right one."""
    async with session(tmp_path / "j.jsonl", keys={"identify": "f12"}) as hill:
        assert "F12 call given" in hill.text
        await hill.press("f2")
        assert of_kind(hill.journal, Identified) == []
        await hill.press("f12")
        await hill.until(lambda: of_kind(hill.journal, Identified))


def test_the_key_line_keeps_to_its_width():
    """The most wanted keys first, whole or not at all."""
    for width in range(0, 200, 7):
        line = key_line(keys_of({}), width)
        assert len(line) <= width
        assert line == "" or line.startswith("F1 help")


async def test_a_closed_session_says_so_and_takes_only_contacts_with_a_time(tmp_path: Path):
    """What is typed after closing would be logged at the wrong time; the text stays, with what to do."""
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.enter("done")
        await hill.until(lambda: "CLOSED" in hill.text)
        await hill.enter("kd7qsv 59 57")
        assert hill.typed == "kd7qsv 59 57"
        assert "the session is closed" in hill.message
        await hill.type(" -5m")
        await hill.enter("")
        assert len(of_kind(hill.journal, ContactLogged)) == 1


def test_one_key_for_two_actions_is_told():
    """The first of the list has it."""
    told = ["key f2 is given to identify and mute: change one in the station file"]
    assert clashes({"mute": "f2"}) == told
    assert clashes({}) == []


SENDING = ("packets-position", "packets-message")


@pytest.mark.parametrize("name", SENDING)
@pytest.mark.parametrize(
    "key",
    ["y", "P", "space", "full_stop", "enter", "tab", "backspace", "escape", "ctrl+m", "ctrl+i", "ctrl+h", "ctrl+j",
     "alt+o", "pagedown"],
)  # fmt: skip
def test_what_typing_can_make_leads_to_no_packet(name: str, key: str):
    """Enter, Tab and Backspace under their other names, and a letter behind an Escape, too."""
    usual = keys_of({})
    assert keys_of({name: key})[name] == usual[name]
    assert name in clashes({name: key})[0]


@pytest.mark.parametrize("name", SENDING)
@pytest.mark.parametrize("other", [*ACTIONS, *PAGES["packets"]], ids=lambda each: each.name)
@pytest.mark.parametrize("way", ["the key of another", "another has its key"])
def test_a_key_that_does_something_else_leads_to_no_packet(name: str, other: Action, way: str):
    if other.name == name:
        return
    changed = {name: other.key} if way == "the key of another" else {other.name: keys_of({})[name]}
    keys = keys_of(changed)
    assert keys[name] == "" or keys[name] != keys[other.name]
    assert clashes(changed)


@pytest.mark.parametrize("name", [action.name for action in ACTIONS])
def test_what_is_typed_on_the_entry_line_is_the_key_of_nothing(name: str):
    assert keys_of({name: "y"})[name] == keys_of({})[name]
    assert clashes({name: "y"})[0].startswith(f"key y for {name} may be typed by chance")


@pytest.mark.parametrize(
    ("page", "shuts"), [("f6", "escape"), ("f6", "f10"), ("f12", "escape"), ("ctrl+p", "escape")]
)
async def test_a_page_is_shut_once(page: str, shuts: str, tmp_path: Path):
    """Its key held down, or pressed again while the link was slow: the second press finds it shut already."""
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.press(page)
        if page == "f6":
            await hill.type("kd7qsv")
        for _ in range(3):
            hill.app.post_message(events.Key(shuts, None))
        await hill.settle()
        await hill.until(lambda: len(hill.app.screen_stack) == 1)
        if shuts == "f10":
            await hill.press("n")  # it is also the key that leaves, which asks
        await hill.enter("w0qsl 59 57")
        logged = [event.call for event in of_kind(hill.journal, ContactLogged)]
        assert logged == (["KD7QSV", "W0QSL"] if shuts == "f10" else ["W0QSL"])


async def test_keys_of_the_pages_can_be_changed_too(tmp_path: Path):
    """Named in the station file like any other; the page and the help say the new ones."""
    keys = {"plan-kit": "ctrl+k", "form-save": "f11", "packets-seen": "x"}
    async with session(tmp_path / "j.jsonl", keys=keys) as hill:
        await hill.press("ctrl+p")
        await hill.press("ctrl+k")
        assert "KIT:" in hill.text
        await hill.press("escape", "f6")
        assert "F11: save" in hill.text
        await hill.type("w0qsl")
        await hill.press("f11")
        await hill.until(hill.app.state.contacts.standing)
        await hill.press("f1")
        assert "x         on the page of packets: messages seen" in help_words(hill)
