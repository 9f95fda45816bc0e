"""The plan page: plan beside truth, ticks that the journal keeps, cautions, at every size."""

from __future__ import annotations

from pathlib import Path

import pytest

from fieldtui.journal.event_types import Event
from fieldtui.journal.events import PackStated
from fieldtui.journal.plan_events import KitTicked, PathPlanned, PlanMade
from fieldtui.screens.draw.glyphs import ASCII, UNICODE
from fieldtui.screens.pages.plan import PlanScreen
from fieldtui.session.kit import USUAL_KIT
from tests.screens.scenes import outing
from tests.support.golden import compare
from tests.support.hand_clock import HandClock
from tests.support.journals import of_kind, write_journal
from tests.support.session import session

SIZES = ((60, 20), (80, 24), (120, 40))
PLAN = PlanMade(
    on="2026-06-14", begins_at="2026-06-14T17:00:00Z", ends_at="2026-06-14T21:00:00Z", place="Larkspur Ridge",
    locator="CN94fl", sunset_at="2026-06-15T03:50:06Z", dusk_at="2026-06-15T04:26:27Z", keep_metres=4.04,
    horizon_metres=92_000.0, ring_metres=(81e3, 94e3, 105e3, 116e3, 128e3, 139e3, 151e3, 163e3, 174e3),
    pack_amp_hours=16.0, charge_percent=100.0, average_amps=1.82, transmit_amps=7.0, duty_percent=10.0,
    expected_hours=8.8, expected_hours_sun=12.8, margin_hours=4.4, verdict="enough",
    hour_percent=(88.6, 77.2, 65.8, 54.4), hour_sun_percent=(100.0, 99.0, 98.0, 97.0),
)  # fmt: skip
ROSA = PathPlanned(
    to="Rosa", distance_metres=41_300.0, bearing_deg=31.0, hertz=146_520_000, line_of_sight=False, low="S5",
    high="S8", height_metres=1110.0, height_there_metres=900.0,
    ground_metres=(1103.0, 820.0, 700.0, 990.0, 1240.0, 1010.0, 760.0, 640.0, 700.0, 898.0),
)  # fmt: skip
KIT: tuple[Event, ...] = tuple(
    KitTicked(item=item, packed=packed)
    for item, packed in (("radio", True), ("battery", True), ("mast and guys", False), ("water", False))
)


def played(path: Path, *planned: Event) -> HandClock:
    clock = HandClock()
    first, *rest = outing()
    pack = PackStated(chemistry="lifepo4", amp_hours=16, start_percent=95)
    write_journal(path, clock, [first, *[(0.0, event) for event in (*planned, pack)], *rest], clock.move)
    clock.move(4)
    return clock


@pytest.mark.parametrize("glyphs", [UNICODE, ASCII], ids=["unicode", "ascii"])
@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_plan_and_truth_at_every_size(size: tuple[int, int], glyphs: object, tmp_path: Path):
    clock = played(tmp_path / "j.jsonl", PLAN, ROSA, *KIT)
    async with session(tmp_path / "j.jsonl", clock=clock, size=size, glyphs=glyphs) as hill:
        await hill.press("ctrl+p")
        name = "ascii" if glyphs is ASCII else "unicode"
        compare(f"plan-{name}-{size[0]}x{size[1]}", hill.lines)


async def test_the_page_scrolls_to_its_end_and_no_further(tmp_path: Path):
    clock = played(tmp_path / "j.jsonl", PLAN, ROSA, *KIT)
    async with session(tmp_path / "j.jsonl", clock=clock, size=(60, 20)) as hill:
        await hill.press("ctrl+p")
        assert "x: blocked" not in hill.text
        await hill.press("end", "pagedown", "down")
        assert "x: blocked" in hill.text
        await hill.press("home")
        assert "2026-06-14" in hill.text


async def test_ticks_go_into_the_journal_and_back_out(tmp_path: Path):
    clock = played(tmp_path / "j.jsonl", PLAN, *KIT)
    async with session(tmp_path / "j.jsonl", clock=clock) as hill:
        await hill.press("ctrl+p", "k")
        assert "2 of 4 still to pack" in hill.text
        await hill.press("down", "down", "space")
        await hill.until(lambda: hill.app.state.kit.is_packed("mast and guys"))
        await hill.until(lambda: "[x] mast and guys" in hill.text)
        await hill.press("up", "enter")
        await hill.until(lambda: not hill.app.state.kit.is_packed("battery"))
    assert of_kind(tmp_path / "j.jsonl", KitTicked)[-2:] == [
        KitTicked(item="mast and guys"),
        KitTicked(item="battery", packed=False),
    ]


async def test_without_a_plan_there_are_the_usual_kit_and_the_cautions(tmp_path: Path):
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.press("ctrl+p")
        assert "no plan was made" in hill.text
        await hill.press("tab")
        assert USUAL_KIT[0] in hill.text
        await hill.press("c")
        assert "LIGHTNING" in hill.text
        await hill.press("escape")
        assert not isinstance(hill.app.screen, PlanScreen)


async def test_what_is_half_typed_stays(tmp_path: Path):
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.type("kd7qsv 59")
        await hill.press("ctrl+p", "k", "escape")
        assert hill.typed == "kd7qsv 59"


async def test_a_screen_that_only_watches_ticks_nothing(tmp_path: Path):
    clock = played(tmp_path / "j.jsonl", PLAN, *KIT)
    async with session(tmp_path / "j.jsonl", clock=clock, watch=True) as hill:
        await hill.press("ctrl+p", "k", "space")
        assert len(of_kind(tmp_path / "j.jsonl", KitTicked)) == len(KIT)
