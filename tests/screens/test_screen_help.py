"""Nothing that helps is cut: the chosen channel, long answers, long pages, the law, and the way out."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from fieldtui.journal.events import ContactLogged, Tuned
from fieldtui.radio.channels.plan import read_plan
from fieldtui.screens.draw.paged import folded, footer, window
from fieldtui.screens.draw.rows import arranged, message_rows
from fieldtui.screens.keys import OLDER
from fieldtui.screens.pages.help import HelpScreen
from tests.screens.scenes import outing, play
from tests.support.golden import compare
from tests.support.journals import of_kind
from tests.support.session import Session, session

SMALL = (60, 20)
SIZES = (SMALL, (80, 24), (120, 40), (40, 16), (40, 10), (40, 7))


def marked(hill: Session) -> str:
    """The one row of the list that Enter takes, as it is seen."""
    (row,) = [line for line in hill.lines if re.match(r"[│|]?\*", line)]
    return row


@pytest.mark.parametrize("size", [SMALL, (80, 24), (120, 40), (40, 16)])
async def test_the_row_that_enter_takes_is_seen_and_is_what_is_tuned(size: tuple[int, int], tmp_path: Path):
    """`call` while on 146.52: the list begins with the band that is tuned, not with the first band of the plan."""
    async with session(tmp_path / "j.jsonl", size=size) as hill:
        await hill.enter("146.52 fm")
        await hill.press("f4")
        await hill.type("call")
        assert "146.520" in marked(hill)
        await hill.press("down")
        second = marked(hill)
        assert "146.520" not in second
        await hill.press("enter")
        await hill.until(lambda: len(of_kind(hill.journal, Tuned)) == 2)
        hertz = of_kind(hill.journal, Tuned)[-1].hertz
        assert hertz is not None
        assert f"{hertz / 1e6:.3f}" in second


@pytest.mark.parametrize("key", ["down", "pagedown", "up", "pageup"])
async def test_arrows_walk_through_the_whole_plan_and_the_row_stays_in_sight(key: str, tmp_path: Path):
    async with session(tmp_path / "j.jsonl", size=SMALL) as hill:
        await hill.press("f4", "down")
        seen = {marked(hill)}
        for _ in range(len(hill.app.setup.settings.plan.channels)):
            await hill.press(key)
            seen.add(marked(hill))
        assert len(seen) >= {"down": 18, "pagedown": 4}.get(key, 1)
        await hill.press("enter")
        await hill.until(lambda: of_kind(hill.journal, Tuned))


async def test_an_arrow_is_still_the_line_before_while_no_list_is_shown(tmp_path: Path):
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.enter("note one")
        await hill.press("f4", "down", "escape", "up")
        assert hill.typed == "note one"


async def test_what_is_typed_next_begins_at_the_best_match_again(tmp_path: Path):
    async with session(tmp_path / "j.jsonl", size=SMALL) as hill:
        await hill.press("f4")
        await hill.type("2 m")
        first = marked(hill)
        await hill.press("down")
        assert marked(hill) != first
        await hill.type(" ")
        assert marked(hill) == first


@pytest.mark.parametrize(("word", "seen"), [("help", "HELP"), ("?", "HELP"), ("settings", "SETTINGS")])
async def test_a_typed_word_opens_a_page(word: str, seen: str, tmp_path: Path):
    async with session(tmp_path / "j.jsonl", size=SMALL) as hill:
        before = len(hill.written)
        await hill.type(word)
        await hill.press("enter")
        await hill.until(lambda: seen in hill.text)
        await hill.press("escape")
        assert hill.typed == ""
        assert len(hill.written) == before


@pytest.mark.parametrize("word", ["quit", "exit", "QUIT"])
async def test_quit_asks_as_the_key_does(word: str, tmp_path: Path):
    async with session(tmp_path / "j.jsonl", size=SMALL) as hill:
        await hill.type(word)
        await hill.press("enter")
        assert "y leaves, n stays" in hill.message
        await hill.press("y")
        await hill.until(lambda: hill.app.intended_exit)


async def test_the_interrupt_key_says_what_to_press_and_keeps_what_is_typed(tmp_path: Path):
    keys = {"leave": "f11"}
    async with session(tmp_path / "j.jsonl", size=SMALL, keys=keys) as hill:
        await hill.type("kd7qsv 59")
        await hill.press("ctrl+c")
        assert "F11 or Ctrl+Q leaves" in hill.message
        assert hill.typed == "kd7qsv 59"
        assert hill.app.is_running


@pytest.mark.parametrize("page", ["f6", "f12", "ctrl+p", "ctrl+t"])
async def test_on_a_page_the_way_out_asks_nothing_that_nobody_sees(page: str, tmp_path: Path):
    """A `y` typed afterwards is no answer to it."""
    async with session(tmp_path / "j.jsonl", size=SMALL) as hill:
        await hill.press(page, "ctrl+q")
        await hill.type("y")
        assert not hill.app.intended_exit
        await hill.press("escape", "ctrl+q")
        assert "y leaves" in hill.message


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_the_way_out_is_on_every_size_of_screen(size: tuple[int, int], tmp_path: Path):
    async with session(tmp_path / "j.jsonl", size=size) as hill:
        assert "F10 leave" in hill.text or "F10 or Ctrl+Q leave" in hill.text


async def test_where_there_is_no_row_for_keys_the_entry_line_tells_the_way_out(tmp_path: Path):
    async with session(tmp_path / "j.jsonl", size=(40, 5)) as hill:
        assert "> F10 or Ctrl+Q leaves" in hill.text


async def test_a_long_answer_takes_free_rows_above_and_the_entry_line_stays(tmp_path: Path):
    """What was refused is read to its end, and the next key gives the rows back to the contacts."""
    clock = play(tmp_path / "j.jsonl", outing())
    async with session(tmp_path / "j.jsonl", clock=clock, size=SMALL) as hill:
        await hill.press("escape")
        before, line = hill.lines, hill.lines.index(next(row for row in hill.lines if row.startswith("> ")))
        await hill.enter("fix 3 nothing")
        told = " ".join(hill.text.split())
        assert "name, place, freq, mode, card, time" in told
        assert "~" not in hill.pane("message")
        assert hill.pane("message").count("\n") > 1
        assert hill.lines[line].startswith("> fix 3")
        hill.app.panes.entry.put("")
        await hill.press("escape")
        assert hill.lines == before


async def test_a_doubt_that_the_rows_below_cannot_hold_stands_above(tmp_path: Path):
    """Both rows of a contact are there, and the third is too short for what is to be said."""
    async with session(tmp_path / "j.jsonl", size=(40, 16)) as hill:
        await hill.type("fix 3 nothing")
        await hill.settle()
        assert hill.pane("message").strip().startswith("! ")


async def test_a_page_that_is_too_long_scrolls_and_says_so(tmp_path: Path):
    async with session(tmp_path / "j.jsonl", size=SMALL) as hill:
        await hill.press("f1")
        rows = dict.fromkeys(hill.lines)
        assert f"{OLDER} more" in hill.lines[-1]
        for _ in range(40):
            await hill.press("down")
            assert isinstance(hill.app.screen, HelpScreen)
            rows |= dict.fromkeys(hill.lines)
        await hill.press("end")
        rows |= dict.fromkeys(hill.lines)
        assert "more" not in hill.lines[-1]
        told = " ".join(" ".join(row.split()) for row in rows)
        assert "that you order and confirm, where your station" in told
        assert not any(row.rstrip().endswith("~") for row in rows)


@pytest.mark.parametrize("size", [SMALL, (80, 24), (120, 40)], ids=lambda size: f"{size[0]}x{size[1]}")
async def test_the_help_at_every_size(size: tuple[int, int], tmp_path: Path):
    async with session(tmp_path / "j.jsonl", size=size) as hill:
        await hill.press("f1")
        compare(f"help-{size[0]}x{size[1]}", hill.lines)


REPEATER = read_plan(b"name,receive,shift,tone,mode\nFar ridge repeater,147.3,-6.0,88.5,FM\n", "own.csv")


@pytest.mark.parametrize("size", [SMALL, (80, 24), (120, 40)], ids=lambda size: f"{size[0]}x{size[1]}")
async def test_the_law_is_the_last_to_go_from_what_is_tuned(size: tuple[int, int], tmp_path: Path):
    """Its left half makes the largest screen the narrowest one for this line."""
    async with session(
        tmp_path / "j.jsonl", size=size, licence="technician", plan_source=lambda: REPEATER
    ) as hill:
        await hill.enter("channel 1")
        await hill.enter("5w")
        assert "outside every band" in hill.text
        assert "147.300 FM" in hill.text
        assert "send 141.300" in hill.text
        assert hill.pane("tuned").count("~") <= 1, "the name of the channel alone may be cut"


async def test_a_contact_is_logged_as_before_beside_all_this(tmp_path: Path):
    async with session(tmp_path / "j.jsonl", size=SMALL) as hill:
        await hill.enter("146.52 fm")
        await hill.enter("kd7qsv 59 57 Rosa")
        assert [contact.call for contact in of_kind(hill.journal, ContactLogged)] == ["KD7QSV"]


def test_rows_are_given_to_what_is_said_last():
    """The first two lines keep their places; a blank one gives way; what has no room is handed back whole."""
    lines = [("who", ""), ("", ""), ("! " + "word " * 20, "bold")]
    drawn, rest = arranged(lines, 60, 3)
    assert [text[:4] for text, _ in drawn] == ["who", "! wo", "word"]
    assert rest == ""
    assert arranged([("who", ""), ("what", ""), ("! " + "word " * 20, "")], 60, 3)[1].startswith("! word")
    assert arranged([("who", ""), ("what", ""), ("first contact " * 9, "")], 60, 3)[1] == ""


def test_several_things_to_say_get_a_row_each_and_the_first_is_served_first():
    assert len(message_rows(["word " * 40, "other"], 60, 3)) == 3
    assert message_rows(["word " * 40, "other"], 60, 3)[-1][0] == "other"
    assert message_rows(["", "other"], 60, 3) == [("other", "")]


def test_a_page_never_scrolls_past_its_end_nor_hides_that_there_is_more():
    lines = [(str(number), "") for number in range(50)]
    first, seen = window(lines, 1000, 20)
    assert (first, seen[-1]) == (30, ("49", ""))
    assert footer("keys " * 30, 0, 20, 50, 40).endswith(f"1-20 of 50, {OLDER} more")
    assert footer("keys", 30, 20, 50, 40).endswith("31-50 of 50")
    assert footer("keys", 0, 50, 50, 40) == "keys"


@pytest.mark.parametrize("width", [20, 40, 58, 78])
def test_folding_loses_no_word_and_keeps_to_the_width(width: int):
    for text in ("F10 or Ctrl+Q  leave the screen; the session stays open", "   card: one was promised. Also 146.55",
                 "here cn94hb Larkspur Ridge    where the station is", "plain words without a second column " * 3):  # fmt: skip
        rows = [row for row, _ in folded(text, width)]
        assert " ".join(" ".join(rows).split()) == " ".join(text.split())
        assert all(len(row) <= max(width, 20) for row in rows)
