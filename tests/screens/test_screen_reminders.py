"""The identification pane and its bell, with time moved by hand. The rule: 47 CFR 97.119(a), every ten minutes
during a communication and at its end."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

from fieldtui.journal.events import Identified
from tests.support.big_digits import shows
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
        assert hill.rings == 0


async def test_each_state_has_its_words_and_rings(tmp_path: Path):
    """Running, soon, now, late: in words on the pane and in the message line; a ring at each rise, and each minute."""
    async with session(tmp_path / "j.jsonl", size=(120, 40)) as hill:
        await begin_sending(hill)
        await hill.let_pass(300)
        assert "!" not in hill.pane("identification")
        assert hill.rings == 0
        for seconds, word, mark, rings in (
            (242, "SOON, in", "!", 1),
            (30, "SOON, in", "!", 1),
            (30, "your call", "!!", 2),
            (40, "your call", "!!", 2),
            (40, "LATE by", "!!", 3),
            (61, "LATE by", "!!", 4),
            (61, "LATE by", "!!", 5),
        ):
            await hill.let_pass(seconds)
            assert word in hill.pane("identification")
            assert f"W7QRV {mark}" in hill.pane("identification")
            assert shows(hill.lines, "NOW") == (word == "your call")
            assert hill.message.startswith(mark)
            assert "press F2" in hill.message
            assert hill.rings == rings, (seconds, word)
            await hill.let_pass(0)
            assert hill.rings == rings


async def test_a_sign_off_hides_no_deadline(tmp_path: Path):
    """Call, over, contact: both stand. The figures are the time left of the ten minutes, and never count up."""
    async with session(tmp_path / "j.jsonl") as hill:
        await begin_sending(hill)
        await hill.enter("kd7qsv 59 57")
        await hill.let_pass(97)
        assert "SIGN OFF" in hill.pane("identification")
        assert "left" in hill.pane("identification")
        assert shows(hill.lines, "8:20")
        await hill.press("escape")
        for seconds, figures, words in (
            (445, "0:55", "SOON, in"),
            (55, "NOW", "your call"),
            (62, "1:02", "LATE by"),
        ):
            rings = hill.rings
            await hill.let_pass(seconds)
            assert shows(hill.lines, figures)
            assert words in hill.pane("identification")
            assert "SIGN OFF" in hill.pane("identification")
            assert hill.message.startswith("!!")
            assert ", sign off: give your call" in hill.message
            assert hill.rings == rings + 1
            await hill.press("escape")


async def test_every_height_of_the_pane_says_the_same(tmp_path: Path):
    """From one row to the largest screen: how long, which word, and the sign-off beside it."""
    for size in ((40, 10), (60, 16), (60, 20), (80, 24), (120, 40)):
        async with session(tmp_path / f"{size}.jsonl", size=size) as hill:
            await begin_sending(hill)
            await hill.enter("kd7qsv 59 57")
            for seconds, figures, word in (
                (97, "8:20", "left"),
                (445, "0:55", "SOON, in"),
                (117, "1:02", "LATE by"),
            ):
                await hill.let_pass(seconds)
                pane = hill.pane("identification")
                assert shows(hill.lines, figures), (size, hill.text)
                assert word in pane
                assert "SIGN" in pane


async def test_nothing_rings_and_nothing_goes_while_it_is_only_drawn(tmp_path: Path):
    """What was said stays until the second in which the reminder is rung for; drawing decides nothing."""
    async with session(tmp_path / "j.jsonl") as hill:
        await begin_sending(hill)
        hill.app.said.message = "said before"
        hill.clock.move(620)
        hill.app.redraw()
        await hill.settle()
        assert (hill.message, hill.rings) == ("said before", 0)
        await hill.let_pass(0)
        assert (hill.message[:2], hill.rings) == ("!!", 1)


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
        assert hill.rings == 2
        await hill.let_pass(60)
        assert hill.rings == 3


async def test_a_contact_without_the_call_asks_for_it(tmp_path: Path):
    """Sign off: asked for as soon as the contact is logged."""
    async with session(tmp_path / "j.jsonl") as hill:
        await begin_sending(hill)
        await hill.enter("kd7qsv 59 57")
        await hill.type("w")
        await hill.let_pass(1)
        assert "SIGN OFF" in hill.pane("identification")
        assert "sign off with your call" in hill.message
        assert hill.rings == 1
        await hill.until(lambda: hill.rung == 2)


async def test_the_bell_is_off_by_key_and_the_words_stay(tmp_path: Path):
    """F8: shown, not rung; and what was not rung is not made up for afterwards."""
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.press("f8")
        await begin_sending(hill)
        await hill.let_pass(560)
        assert "soon" in hill.message
        assert hill.rings == 0
        await hill.press("f8")
        await hill.let_pass(1)
        assert hill.rings == 0
        await hill.let_pass(60)
        assert hill.rings == 1


async def test_quiet_from_the_start(tmp_path: Path):
    """`--quiet`: no bell at all."""
    async with session(tmp_path / "j.jsonl", bell=False) as hill:
        await begin_sending(hill)
        await hill.let_pass(700)
        assert "LATE" in hill.pane("identification")
        assert hill.rings == 0


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


async def test_a_net_of_ten_is_one_reminder(tmp_path: Path):
    """Ten check-ins in a minute: one ring at the first, not ten, and the call answers all of them."""
    async with session(tmp_path / "j.jsonl") as hill:
        await begin_sending(hill)
        for number in range(10):
            await hill.enter(f"w{number}qsl 59 59")
            await hill.let_pass(5)
        assert hill.rings == 1
        await hill.press("f2")
        await hill.until(lambda: of_kind(hill.journal, Identified))
        await hill.let_pass(700)
        assert hill.rings == 1
        assert hill.app.state.identification.record.missed == 0


async def test_nothing_rings_while_the_over_goes_on(tmp_path: Path):
    """A deadline within an over: words at once, the bell when the microphone is closed."""
    async with session(tmp_path / "j.jsonl", long_over_seconds=600.0) as hill:
        await begin_sending(hill)
        await hill.let_pass(400)
        await hill.press("f3")
        await hill.let_pass(160)
        assert "SOON" in hill.pane("identification")
        assert hill.rings == 0
        await hill.press("f3")
        await hill.until(lambda: not hill.app.state.sending)
        await hill.let_pass(1)
        assert hill.rings == 1
