"""Times typed by the computer's clock, in the line and in the form, are put right once that is measured."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

from textual.widgets import Input

from fieldtui.journal.events import ClockOffset, ContactAmended, ContactLogged
from tests.support.journals import of_kind
from tests.support.session import session

WRONG = timedelta(days=1000)


async def test_the_form_keeps_how_a_time_was_meant(tmp_path: Path):
    """Five minutes ago, when it is saved; the clock is then found to be years slow."""
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.type("kd7qsv -5m")
        await hill.press("f6")
        assert "-5m" in hill.app.screen.query_one("#field-at", Input).value
        await hill.let_pass(120)
        saved = hill.clock.now().at
        await hill.press("f10")
        await hill.until(lambda: of_kind(hill.journal, ContactLogged))
        (logged,) = of_kind(hill.journal, ContactLogged)
        assert (logged.ago_seconds, logged.day_by_clock) == (300.0, False)
        await hill.until(hill.app.state.contacts.standing)
        (contact,) = hill.app.state.contacts.standing()
        before = (saved - timedelta(minutes=5)).replace(microsecond=0)
        assert hill.app.state.when(contact) == before
        hill.app.link.keeper.submit(ClockOffset(seconds=WRONG.total_seconds(), source="position receiver"))
        await hill.until(lambda: hill.app.state.when(contact) == before + WRONG)
        await hill.type("fix 1")
        await hill.press("f6")
        assert hill.app.screen.query_one("#field-at", Input).value == f"{before + WRONG:%Y-%m-%dT%H:%MZ}"


async def test_a_time_of_day_in_the_form_is_one_by_the_clock(tmp_path: Path):
    """Corrected from the form; what is not changed there is not stated again."""
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.enter("kd7qsv 59")
        await hill.type("fix 1")
        await hill.press("f6")
        hill.app.screen.query_one("#field-at", Input).value = f"{hill.clock.now().at:%H%M}z"
        await hill.press("f10")
        await hill.until(lambda: of_kind(hill.journal, ContactAmended))
        (amended,) = of_kind(hill.journal, ContactAmended)
        assert (amended.ago_seconds, amended.day_by_clock) == (None, True)
        await hill.type("fix 1")
        await hill.press("f6")
        hill.app.screen.query_one("#field-name", Input).value = "Rosa"
        await hill.press("f10")
        await hill.until(lambda: len(of_kind(hill.journal, ContactAmended)) == 2)
        assert not of_kind(hill.journal, ContactAmended)[1].day_by_clock
