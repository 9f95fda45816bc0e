"""Battery saver: drawn seldom while nothing is urgent, and every second as soon as something is."""

from __future__ import annotations

from pathlib import Path

from tests.support.session import session


async def test_a_key_makes_the_screen_draw_seldom_and_an_over_brings_it_back(tmp_path: Path):
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.press("ctrl+l")
        assert "battery saver on" in hill.message
        assert hill.app.pace.seconds == 5
        await hill.press("f3")
        await hill.until(lambda: hill.app.state.sending)
        await hill.let_pass(1)
        assert hill.app.pace.seconds == 1
        await hill.press("f3", "f2")
        await hill.until(lambda: not hill.app.state.sending)
        await hill.let_pass(1)
        assert hill.app.pace.seconds == 5
        await hill.press("ctrl+l")
        assert "battery saver off" in hill.message
        assert hill.app.pace.seconds == 1


async def test_a_typed_line_is_logged_as_ever(tmp_path: Path):
    async with session(tmp_path / "j.jsonl", saver=True) as hill:
        await hill.let_pass(1)
        assert hill.app.pace.seconds == 5
        await hill.enter("kd7qsv 59 57 Rosa")
        assert "KD7QSV" in hill.pane("contacts")
