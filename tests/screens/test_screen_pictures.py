"""Pictures of the screen as plain text; see tests/support/golden.py for how to renew them."""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from fieldtui.journal.events import TransmissionEnded, TransmissionStarted
from fieldtui.screens.draw.glyphs import ASCII, CP437
from tests.screens.scenes import outing, play
from tests.support.golden import compare
from tests.support.session import Session, session

SIZES = ((60, 20), (80, 24), (120, 40))


@pytest.fixture(autouse=True)
def _zone(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Local time seven hours behind UTC, wherever the tests run."""
    monkeypatch.setenv("TZ", "XYZ7")
    time.tzset()
    yield
    monkeypatch.undo()
    time.tzset()


def size_id(size: tuple[int, int]) -> str:
    """As in the file name."""
    return f"{size[0]}x{size[1]}"


async def settled(hill: Session) -> list[str]:
    """Without the line that says how many contacts there were: the picture is that of a running session."""
    await hill.press("escape")
    await hill.let_pass(0)
    return hill.lines


@pytest.mark.parametrize("size", SIZES, ids=size_id)
async def test_the_first_moment(size: tuple[int, int], tmp_path: Path):
    """Nothing sent, nothing logged, no shunt."""
    async with session(tmp_path / "j.jsonl", size=size) as hill:
        compare(f"first-{size_id(size)}", await settled(hill))


@pytest.mark.parametrize("size", SIZES, ids=size_id)
async def test_in_the_middle_of_an_outing(size: tuple[int, int], tmp_path: Path):
    """Contacts, a running count, readings with a plot, and a contact being typed."""
    clock = play(tmp_path / "j.jsonl", outing())
    async with session(tmp_path / "j.jsonl", clock=clock, size=size, licence="technician") as hill:
        await hill.type("ve3qrx 59 57 fn03 Jo, Quill Lake, card")
        compare(f"outing-{size_id(size)}", await settled(hill))


@pytest.mark.parametrize("size", SIZES, ids=size_id)
async def test_the_call_is_late(size: tuple[int, int], tmp_path: Path):
    """Eleven minutes after the first transmission, and the shunt has been silent for as long."""
    over = [(5.0, TransmissionStarted(source="key")), (9.0, TransmissionEnded(source="key"))]
    clock = play(tmp_path / "j.jsonl", [*outing(), *over])
    clock.move(665)
    async with session(tmp_path / "j.jsonl", clock=clock, size=size) as hill:
        await hill.let_pass(1)
        await hill.type("x")
        await hill.press("backspace")
        await hill.let_pass(0)
        compare(f"late-{size_id(size)}", hill.lines)


@pytest.mark.parametrize("size", SIZES, ids=size_id)
async def test_the_plan_over_the_contacts(size: tuple[int, int], tmp_path: Path):
    """F4, and a part of a name."""
    clock = play(tmp_path / "j.jsonl", outing())
    async with session(tmp_path / "j.jsonl", clock=clock, size=size) as hill:
        await hill.press("escape", "f4")
        await hill.type("simplex")
        compare(f"plan-{size_id(size)}", hill.lines)


@pytest.mark.parametrize("glyphs", [ASCII, CP437], ids=lambda glyphs: glyphs.name)
async def test_with_fewer_glyphs(glyphs, tmp_path: Path):
    """The same moment on a plain console."""
    clock = play(tmp_path / "j.jsonl", outing())
    async with session(tmp_path / "j.jsonl", clock=clock, size=(80, 24), glyphs=glyphs) as hill:
        compare(f"outing-80x24-{glyphs.name}", await settled(hill))


@pytest.mark.parametrize("size", [(40, 10), (40, 16)], ids=size_id)
async def test_on_very_small_screens(size: tuple[int, int], tmp_path: Path):
    """Below what it is made for, the two numbers and the entry line are still there."""
    clock = play(tmp_path / "j.jsonl", outing())
    async with session(tmp_path / "j.jsonl", clock=clock, size=size) as hill:
        compare(f"outing-{size_id(size)}", await settled(hill))


def test_the_zone_is_what_the_pictures_were_made_with():
    """Else every picture would differ in its first line, and nobody would know why."""
    assert os.environ["TZ"] == "XYZ7"
    assert time.localtime(0).tm_hour == 17
