"""In a demo every page says that it is one, so that nobody takes a picture of it for a day that was."""

from __future__ import annotations

from pathlib import Path

import pytest
from msgspec.structs import replace

from tests.support.session import OPENING, session

PAGES = ("f1", "f4", "f5", "f6", "f12", "ctrl+p", "ctrl+p k", "ctrl+p c")
"""Help, channels, battery, form, packets, plan, its kit list and its cautions."""


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (120, 40)], ids=lambda size: f"{size[0]}x{size[1]}")
async def test_every_page_of_a_demo_begins_with_the_mark(size: tuple[int, int], tmp_path: Path):
    opening = replace(OPENING, demo=True)
    async with session(tmp_path / "j.jsonl", size=size, opening=opening) as hill:
        assert "DEMO" in hill.lines[0]
        for keys in PAGES:
            await hill.press(*keys.split())
            assert "DEMO" in hill.lines[0], f"{keys}:\n{hill.text}"
            await hill.press("escape")


async def test_no_page_of_a_real_session_bears_it(tmp_path: Path):
    async with session(tmp_path / "j.jsonl") as hill:
        for keys in PAGES:
            await hill.press(*keys.split())
            assert "DEMO" not in hill.text, keys
            await hill.press("escape")


async def test_the_marked_form_still_has_all_of_its_fields(tmp_path: Path):
    """On the smallest screen that everything is made for; what does not fit is scrolled to."""
    async with session(tmp_path / "j.jsonl", size=(60, 20), opening=replace(OPENING, demo=True)) as hill:
        await hill.press("f6")
        await hill.type("kd7qsv")
        await hill.press("f10")
        await hill.until(
            lambda: [contact.call for contact in hill.app.state.contacts.standing()] == ["KD7QSV"]
        )
