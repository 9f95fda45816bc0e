"""The identification pane and its bell, with time moved by hand. The rule: 47 CFR 97.119(a), every ten minutes
during a communication and at its end."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

from fieldtui.journal.events import Identified
from fieldtui.screens.reminders import LEAST_SECONDS, Bell
from tests.support.journals import of_kind
from tests.support.session import Session, session


async def begin_sending(hill: Session) -> None:
    """One short over by hand: from here on the ten minutes count."""
    await hill.press("f3")
    await hill.until(lambda: hill.app.state.identification.sending_since is not None)
    await hill.let_pass(3)
    await hill.press("f3")
    await hill.until(lambda: hill.app.state.identification.sending_since is None)


async def test_quiet_until_something_is_sent(tmp_path: Path):
    """An hour of listening asks for nothing."""
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.let_pass(3600)
        assert "quiet" in hill.pane("identification")
        assert hill.message == ""
        assert hill.rung == 0


async def test_each_state_has_its_words_and_rings_once(tmp_path: Path):
    """Running, soon, now, late: in words on the pane and in the message line, one ring at each rise."""
    async with session(tmp_path / "j.jsonl", size=(120, 40)) as hill:
        await begin_sending(hill)
        await hill.let_pass(300)
        assert "!" not in hill.pane("identification")
        assert hill.rung == 0
        for seconds, word, mark, rung in (
            (242, "SOON, in", "!", 1),
            (30, "SOON, in", "!", 1),
            (30, "NOW, late by", "!!", 2),
            (40, "NOW, late by", "!!", 2),
            (40, "LATE by", "!!", 3),
            (900, "LATE by", "!!", 3),
        ):
            await hill.let_pass(seconds)
            assert word in hill.pane("identification")
            assert f"W7QRV {mark}" in hill.pane("identification")
            assert hill.message.startswith(mark)
            assert "press F2" in hill.message
            assert hill.rung == rung, (seconds, word)
            await hill.let_pass(0)
            assert hill.rung == rung


async def test_giving_the_call_answers_it(tmp_path: Path):
    """F2: the reminder goes, the count is over, and the journal has it."""
    async with session(tmp_path / "j.jsonl") as hill:
        await begin_sending(hill)
        await hill.let_pass(620)
        await hill.press("f2")
        await hill.until(lambda: of_kind(hill.journal, Identified))
        await hill.let_pass(1)
        assert "call given" in hill.message
        await hill.type("x")
        await hill.let_pass(1)
        assert hill.message == ""
        assert "!!" not in hill.pane("identification")


async def test_escape_quiets_the_line_and_the_pane_goes_on(tmp_path: Path):
    """A reminder that was seen is not repeated until it gets more urgent."""
    async with session(tmp_path / "j.jsonl") as hill:
        await begin_sending(hill)
        await hill.let_pass(560)
        assert "!" in hill.message
        await hill.press("escape")
        await hill.let_pass(5)
        assert hill.message == ""
        assert "SOON" in hill.pane("identification")
        await hill.let_pass(60)
        assert hill.message.startswith("!!")
        assert hill.rung == 2


async def test_a_contact_without_the_call_asks_for_it(tmp_path: Path):
    """Sign off: asked for as soon as the contact is logged."""
    async with session(tmp_path / "j.jsonl") as hill:
        await begin_sending(hill)
        await hill.enter("kd7qsv 59 57")
        await hill.type("w")
        await hill.let_pass(1)
        assert "SIGN OFF" in hill.pane("identification")
        assert "sign off with your call" in hill.message
        assert hill.rung == 1


async def test_the_bell_is_off_by_key_and_the_words_stay(tmp_path: Path):
    """F8: shown, not rung; and what was not rung is not made up for afterwards."""
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.press("f8")
        await begin_sending(hill)
        await hill.let_pass(560)
        assert "soon" in hill.message
        assert hill.rung == 0
        await hill.press("f8")
        await hill.let_pass(1)
        assert hill.rung == 0
        await hill.let_pass(60)
        assert hill.rung == 1


async def test_quiet_from_the_start(tmp_path: Path):
    """`--quiet`: no bell at all."""
    async with session(tmp_path / "j.jsonl", bell=False) as hill:
        await begin_sending(hill)
        await hill.let_pass(700)
        assert "LATE" in hill.pane("identification")
        assert hill.rung == 0


async def test_a_wall_clock_that_is_set_changes_no_countdown(tmp_path: Path):
    """Seventeen hours forward and back again: the minutes to the call are those of the monotonic clock."""
    async with session(tmp_path / "j.jsonl") as hill:
        await begin_sending(hill)
        await hill.let_pass(100)
        before = hill.pane("identification")
        for hours in (17, -34, 17):
            hill.clock.start += timedelta(hours=hours)
            await hill.let_pass(0)
            assert hill.pane("identification") == before


def test_a_rise_too_soon_after_a_ring_rings_later():
    """At most every 30 s, yet the more urgent word is heard."""
    bell = Bell()
    assert bell.rings(1, 100.0)
    assert not bell.rings(2, 110.0)
    assert not bell.rings(2, 100.0 + LEAST_SECONDS - 0.1)
    assert bell.rings(2, 100.0 + LEAST_SECONDS)
    assert not bell.rings(2, 1000.0)


def test_what_was_answered_or_is_over_is_not_rung_late():
    """The ring that is owed lapses."""
    answered, over = Bell(), Bell()
    for bell in (answered, over):
        assert bell.rings(1, 0.0)
        assert not bell.rings(2, 1.0)
    answered.answer()
    assert not answered.rings(2, 60.0)
    assert not over.rings(0, 2.0)
    assert not over.rings(0, 60.0)


def test_the_same_urgency_again_rings_again():
    """Quiet in between makes it a new reminder."""
    bell = Bell()
    assert [bell.rings(urgency, 100.0 * row) for row, urgency in enumerate((0, 2, 2, 0, 2))] == [
        False, True, False, False, True,
    ]  # fmt: skip
