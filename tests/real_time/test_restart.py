"""The power goes in the middle: same deadline, what stood stands, nothing is told twice, holds begin again."""

from __future__ import annotations

import time
from collections.abc import Iterator
from datetime import datetime
from typing import NamedTuple

import pytest

from tests.support.hill import BATTERY_WORDS, PACK, SLACK_SECONDS, SOON, Hill, station
from tests.support.instruments import Shunt, steps
from tests.support.pack_alarms import BOUNDS, HOLDS
from tests.support.rings import CALL

pytestmark = pytest.mark.real_time

LOW_VOLTS = BOUNDS["low"] - 0.06
LOWER_VOLTS = BOUNDS["cutoff-near"] - 0.06
INTERVAL_SECONDS = 240.0
INTO_HOLD_SECONDS = 1.5


class Day(NamedTuple):
    """What is looked at afterwards."""

    hill: Hill
    shunt: Shunt
    sent: float
    killed: float
    ready: float
    due: tuple[str, str]
    """The deadline that `show` tells, before and after."""


@pytest.fixture(scope="module")
def day(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Day]:
    folder = tmp_path_factory.mktemp("restart")
    words = station(interval_minutes=INTERVAL_SECONDS / 60, more=PACK)
    with (
        Shunt(folder / "shunt", steps((1.0, 13.2, -0.42))) as shunt,
        Hill(folder / "hill", words, "--shunt", shunt.url) as hill,
    ):
        hill.wait(5)
        sent = hill.over(3)
        hill.wait(5)
        shunt.measure(steps((1.0, LOW_VOLTS, -0.42)))
        hill.wait(HOLDS["low"] + 2 * SLACK_SECONDS)
        due = hill.show()["identification"]["due_at"]
        lower = shunt.measure(steps((1.0, LOWER_VOLTS, -0.42)))
        hill.until(lower + INTO_HOLD_SECONDS)
        killed = hill.kill()
        time.sleep(HOLDS["cutoff-near"] + 2)
        ready = hill.start()
        hill.until(sent + INTERVAL_SECONDS - 60 + SLACK_SECONDS + 3)
        yield Day(hill, shunt, sent, killed, ready, (due, hill.show()["identification"]["due_at"]))


def test_the_deadline_is_the_same(day: Day):
    before, after = (datetime.fromisoformat(at) for at in day.due)
    assert abs((after - before).total_seconds()) < 2
    due = day.sent + INTERVAL_SECONDS - 60
    day.hill.came(day.hill.history.first(SOON), due=due, what="SOON")
    day.hill.rang(CALL, due=due, what="SOON", early=3)


def test_what_stood_stands(day: Day):
    """At once, without a hold: the journal says it."""
    assert day.hill.raised("low"), day.hill.story()
    assert day.hill.raised("low")[0] < day.killed, day.hill.story()
    seen = day.hill.history.first(f"{BATTERY_WORDS['low']}|STOP SOON", after=day.ready)
    day.hill.came(seen, due=day.ready, what="the word LOW")


def test_a_hold_begins_anew(day: Day):
    """The volts fell a moment before: what the program did not see does not count as held."""
    fell = day.shunt.first(lambda measured: measured.volts < BOUNDS["cutoff-near"])
    assert day.killed - fell < HOLDS["cutoff-near"]
    resumed = [line.at for line in day.hill.lines("session-resumed")]
    assert len(resumed) == 1
    raised = day.hill.once(day.hill.raised("cutoff-near"))
    read = day.hill.read_since(resumed[0])
    day.hill.came(raised, due=read + HOLDS["cutoff-near"], what="cut-off near")


def test_nothing_is_told_twice(day: Day):
    raised = [line.data["alarm"] for line in day.hill.lines("alarm-raised")]
    assert len(raised) == len(set(raised)), day.hill.story()
    assert len(day.hill.lines("transmission-started")) == 1
    assert len(day.hill.lines("session-opened")) == 1
    assert day.hill.show()["damage"] == []
