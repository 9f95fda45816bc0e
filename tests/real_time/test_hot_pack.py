"""A pack gets too hot on its charger, in the sun on a rock: told once held, over when the charger is off."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import pytest

from tests.support.hill import BATTERY_WORDS, PACK, SLACK_SECONDS, Hill, station
from tests.support.instruments import Shunt, steps
from tests.support.pack_alarms import LIMITS, RULES
from tests.support.rings import BATTERY

pytestmark = pytest.mark.real_time

RULE = RULES["charging-hot"]
MOST_C = LIMITS.pack.chemistry.limits.charge_high_c
WARM_C, HOT_C = MOST_C - 6, MOST_C + 3
HOT = BATTERY_WORDS["charging-hot"]


class Day(NamedTuple):
    """What is looked at afterwards."""

    hill: Hill
    hot: float
    unplugged: float


@pytest.fixture(scope="module")
def day(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Day]:
    folder = tmp_path_factory.mktemp("hot")
    with (
        Shunt(folder / "shunt", steps((1.0, 13.4, 4.0, WARM_C))) as shunt,
        Hill(folder / "hill", station(more=PACK), "--shunt", shunt.url) as hill,
    ):
        hill.wait(25)
        shunt.measure(steps((1.0, 13.4, 4.0, HOT_C)))
        hill.wait(80)
        unplugged = shunt.measure(steps((1.0, 13.2, -0.42, HOT_C)))
        hill.wait(RULE.clear_seconds + 2 * SLACK_SECONDS)
        hot = shunt.first(lambda measured: measured.temperature_c == HOT_C, after=hill.begun)
        yield Day(hill, hot, unplugged)


def test_a_warm_pack_may_be_charged(day: Day):
    assert [line for line in day.hill.lines("alarm-raised") if line.at < day.hot] == []
    day.hill.silent(day.hill.begun, day.hot, "nothing is wrong")


def test_a_hot_one_is_told_after_its_hold_and_again(day: Day):
    raised = day.hill.once(day.hill.raised("charging-hot"))
    day.hill.came(raised, due=day.hot + RULE.hold_seconds, what="charging too hot")
    seen = day.hill.history.first(HOT, after=day.hill.begun)
    day.hill.came(seen, due=day.hot + RULE.hold_seconds, what="TOO HOT")
    day.hill.rang(BATTERY, due=raised, what="charging too hot")
    day.hill.rang(BATTERY, due=raised + RULE.repeat_seconds, what="charging too hot, said again")


def test_it_is_over_when_the_charger_is_off(day: Day):
    """The pack may be used at that temperature; only charging it may not go on."""
    cleared = day.hill.once(day.hill.cleared("charging-hot"))
    day.hill.came(cleared, due=day.unplugged + RULE.clear_seconds, what="the end of charging too hot")
    day.hill.came(
        day.hill.history.gone(HOT, after=day.unplugged),
        due=day.unplugged + RULE.clear_seconds,
        what="the word",
    )
    assert day.hill.show()["battery"]["alarms"] == []
