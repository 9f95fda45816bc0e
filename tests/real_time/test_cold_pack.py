"""A pack is charged while it is warm, and then below freezing: lithium plating is what the caution is about."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import pytest

from tests.support.hill import BATTERY_WORDS, PACK, SLACK_SECONDS, Hill, station
from tests.support.instruments import Shunt, steps
from tests.support.pack_alarms import RULES
from tests.support.rings import BATTERY

pytestmark = pytest.mark.real_time

RULE = RULES["charging-cold"]
WARM_C, COLD_C = 32.0, -5.0
COLD = BATTERY_WORDS["charging-cold"]


class Day(NamedTuple):
    """What is looked at afterwards."""

    hill: Hill
    cold: float
    answered: float
    unplugged: float


@pytest.fixture(scope="module")
def day(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Day]:
    folder = tmp_path_factory.mktemp("cold")
    with (
        Shunt(folder / "shunt", steps((1.0, 13.4, 4.0, WARM_C))) as shunt,
        Hill(folder / "hill", station(more=PACK), "--shunt", shunt.url) as hill,
    ):
        hill.wait(25)
        shunt.measure(steps((20.0, 13.2, -0.42, COLD_C), (1.0, 13.4, 4.0, COLD_C)))
        hill.wait(20)
        hill.wait(80)
        answered = hill.press("escape")
        hill.wait(70)
        unplugged = shunt.measure(steps((1.0, 13.2, -0.42, COLD_C)))
        hill.wait(RULE.clear_seconds + 2 * SLACK_SECONDS)
        cold = shunt.first(
            lambda measured: measured.amps > 1 and measured.temperature_c == COLD_C, after=hill.begun
        )
        yield Day(hill, cold, answered, unplugged)


def test_neither_heat_nor_cold_alone_is_told(day: Day):
    """Charging a warm pack, and drawing from a cold one, are what packs are for."""
    assert [line for line in day.hill.lines("alarm-raised") if line.at < day.cold] == []
    day.hill.silent(day.hill.begun, day.cold, "nothing is wrong")


def test_charging_below_freezing_is_told_after_its_hold(day: Day):
    raised = day.hill.once(day.hill.raised("charging-cold"))
    day.hill.came(raised, due=day.cold + RULE.hold_seconds, what="charging too cold")
    seen = day.hill.history.first(COLD, after=day.hill.begun)
    day.hill.came(seen, due=day.cold + RULE.hold_seconds, what="TOO COLD")
    day.hill.rang(BATTERY, due=raised, what="charging too cold")


def test_it_is_said_again_until_it_is_answered(day: Day):
    """Once a minute, and not after Escape; the word stands as long as it is so."""
    raised = day.hill.once(day.hill.raised("charging-cold"))
    day.hill.rang(BATTERY, due=raised + RULE.repeat_seconds, what="charging too cold, said again")
    day.hill.silent(day.answered + 3, day.unplugged, "it was answered")
    for seen in day.hill.history.since(day.answered, day.unplugged):
        assert "TOO COLD" in seen.text


def test_it_is_over_when_the_charger_is_off(day: Day):
    cleared = day.hill.once(day.hill.cleared("charging-cold"))
    day.hill.came(cleared, due=day.unplugged + RULE.clear_seconds, what="the end of charging too cold")
    gone = day.hill.history.gone(COLD, after=day.unplugged)
    day.hill.came(gone, due=day.unplugged + RULE.clear_seconds, what="the end of TOO COLD")
    assert day.hill.show()["battery"]["alarms"] == []
