"""F3 pressed for F2, in gloves: an over that stands by a mark alone is said, rung for, and holds nothing back."""

from __future__ import annotations

from pathlib import Path

import pytest

from fieldtui.live.battery import Latest
from fieldtui.screens.views.marked_over import MarkedOver, marked_over
from fieldtui.session.recording.battery import Sample
from tests.session.making_lines import Outing, ended, opened, started
from tests.support.session import Session, session


async def mark(hill: Session) -> None:
    """F3, and its line is in the journal."""
    sending = hill.app.state.sending
    await hill.press("f3")
    await hill.until(lambda: hill.app.state.sending is not sending)
    await hill.let_pass(0)


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (120, 40)])
async def test_it_is_said_and_rung_for_until_it_is_ended(tmp_path: Path, size: tuple[int, int]):
    """After 150 s: four strokes, one clear line with the key, and again each minute."""
    async with session(tmp_path / "j.jsonl", size=size) as hill:
        await mark(hill)
        await hill.let_pass(149)
        assert (hill.message, hill.rings) == ("sending", 0)
        await hill.let_pass(2)
        assert hill.message == "!! sending for 2 min 31 s by your mark: F3 ends it"
        said = "".join(hill.pane("identification").split())
        assert "bymark:F3" in said, hill.pane("identification")
        await hill.until(lambda: hill.rung == 4)
        await hill.let_pass(61)
        assert hill.rings == 2
        await mark(hill)
        await hill.type("x")
        await hill.let_pass(61)
        assert (hill.message, hill.rings) == ("", 2)
        assert "mark" not in hill.pane("identification")


async def test_an_answer_quiets_it_and_the_pane_goes_on(tmp_path: Path):
    """Escape: he means it; the pane says so all the same."""
    async with session(tmp_path / "j.jsonl") as hill:
        await mark(hill)
        await hill.let_pass(160)
        await hill.press("escape")
        await hill.let_pass(100)
        assert (hill.message, hill.rings) == ("", 1)
        assert "by mark" in hill.pane("identification")


async def test_it_holds_back_no_reminder_of_the_call(tmp_path: Path):
    """A mark is believed for as long as an over should last: the tenth minute rings though it stands."""
    async with session(tmp_path / "j.jsonl") as hill:
        await mark(hill)
        await hill.let_pass(160)
        await hill.press("escape")
        before = hill.rings
        await hill.let_pass(385)
        assert "SOON" in hill.pane("identification")
        assert hill.rings == before + 1
        assert "press F2" in hill.message


async def test_the_key_is_named_as_it_is_set(tmp_path: Path):
    """Who moved the key is told the one that works."""
    async with session(tmp_path / "j.jsonl", keys={"over": "ctrl+t"}) as hill:
        await hill.press("ctrl+t")
        await hill.until(lambda: hill.app.state.sending)
        await hill.let_pass(0)
        await hill.let_pass(151)
        assert "by your mark: CTRL+T ends it" in hill.message


def at(outing: Outing, seconds: float, latest: Latest | None = None) -> MarkedOver | None:
    """What is thought of the over at a moment."""
    outing.seconds = seconds
    state, stamp = outing.state, outing.stamp()
    return marked_over(state, state.now(stamp), latest, stamp.mono_seconds, long_over_seconds=150.0)


def reading(outing: Outing, seconds: float, **said: float | bool) -> Latest:
    """The shunt as it was read then."""
    outing.seconds = seconds
    sample = Sample(outing.stamp().mono_seconds, 13.1, -0.4)
    return Latest(sample=sample, **said)  # type: ignore[arg-type]


def test_a_shunt_that_sees_nothing_sent_speaks_against_the_mark():
    """Only while it is read, only after the seconds that it takes to see a carrier, and not if it sees one."""
    outing = Outing().add(opened()).at(100, started())
    for seconds, latest, unseen in (
        (110, reading(outing, 110), False),
        (116, reading(outing, 116), True),
        (130, reading(outing, 116), False),
        (116, reading(outing, 116, sending_since=5101.0), False),
        (116, reading(outing, 116, perhaps_sending=True), False),
        (116, None, False),
    ):
        marked = at(outing, seconds, latest)
        assert marked is not None
        assert marked.unseen is unseen, (seconds, latest)
    told = at(outing, 116, reading(outing, 116))
    assert told is not None
    assert told.words("F3") == "sending for 16 s by your mark, but the shunt sees nothing sent: F3 ends it"


def test_only_what_was_marked_by_hand_stands_by_a_mark():
    """What the shunt saw has its own alarm; what was ended is over."""
    assert at(Outing().add(opened()).at(100, started(source="shunt")), 300) is None
    assert at(Outing().add(opened()).at(100, started()).at(110, ended()), 300) is None
