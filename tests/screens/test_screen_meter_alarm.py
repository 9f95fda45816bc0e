"""A low voltage typed on the screen, no shunt: the word on the pane, the bell, and its end."""

from __future__ import annotations

from pathlib import Path

import pytest

from fieldtui.journal.events import AlarmRaised, PackStated
from tests.support.journals import of_kind
from tests.support.session import session

PACK = PackStated(chemistry="lifepo4", amp_hours=7.0, cells=4)


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (120, 40)])
async def test_a_typed_low_voltage_calls_repeats_and_ends(tmp_path: Path, size: tuple[int, int]) -> None:
    async with session(tmp_path / "j.jsonl", size=size, pack=PACK) as hill:
        await hill.type("volts 10.5")
        await hill.press("enter")
        assert "STOP SOON" in hill.pane("battery")
        assert "cut-off near: 10.50 V" in hill.message
        await hill.let_pass(1)
        assert hill.rings == 1
        assert [alarm.alarm for alarm in of_kind(tmp_path / "j.jsonl", AlarmRaised)] == ["cutoff-near"]
        await hill.let_pass(65)
        assert hill.rings == 2, "said again, as the one of a shunt is"
        await hill.press("escape")
        await hill.let_pass(200)
        assert hill.rings == 2
        assert "STOP SOON" in hill.pane("battery"), "it stands, though it was seen"
        await hill.type("volts 13.2")
        await hill.press("enter")
        assert "STOP SOON" not in hill.pane("battery")
        assert "over: cut-off near" in hill.message


async def test_an_alarm_is_told_over_an_older_message(tmp_path: Path) -> None:
    async with session(tmp_path / "j.jsonl", pack=PACK) as hill:
        await hill.type("note windy")
        await hill.press("enter")
        assert hill.message == "noted"
        words = "battery low: 11.90 V (plan the end)"
        hill.app.link.keeper.submit(AlarmRaised(alarm="low", severity="warning", words=words))
        await hill.until(lambda: bool(hill.app.state.power.alarms))
        await hill.let_pass(1)
        assert words in hill.message
