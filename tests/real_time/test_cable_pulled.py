"""The shunt's cable comes off for forty seconds, in the middle of an alarm's hold."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import NamedTuple

import pytest

from tests.support.hill import BATTERY_WORDS, EARLY_SECONDS, PACK, SLACK_SECONDS, Hill, station
from tests.support.instruments import Shunt, steps
from tests.support.pack_alarms import BOUNDS, HOLDS, LIMITS
from tests.support.rings import BATTERY

pytestmark = pytest.mark.real_time

HOLD_SECONDS = HOLDS["low"]
BELOW = BOUNDS["low"] - 0.06
PULLED_SECONDS = 40.0
LOOKED_FOR_SECONDS = 8.0
"""A port that is gone is looked for every five seconds, and what it says is recognised after a frame or two."""
SILENCE = r"no reading for (\d+) s"


class Day(NamedTuple):
    """What is looked at afterwards."""

    hill: Hill
    shunt: Shunt
    pulled: float
    plugged: float


@pytest.fixture(scope="module", params=["frames", "lines"])
def day(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Day]:
    folder = tmp_path_factory.mktemp(f"pulled-{request.param}")
    full = steps((1.0, 13.2, -0.42))
    with (
        Shunt(folder / "shunt", full, plain_lines=request.param == "lines") as shunt,
        Hill(folder / "hill", station(more=PACK), "--shunt", shunt.url) as hill,
    ):
        hill.wait(15)
        shunt.measure(steps((1.0, BELOW, -0.42)))
        hill.wait(HOLD_SECONDS / 2)
        shunt.pull()
        pulled = shunt.told[-1].at
        hill.until(pulled + PULLED_SECONDS)
        shunt.plug()
        plugged = hill.enter("note the cable is back")
        hill.until(plugged + LOOKED_FOR_SECONDS + HOLD_SECONDS + 2 * SLACK_SECONDS)
        yield Day(hill, shunt, pulled, plugged)


def test_one_clear_line_with_growing_seconds(day: Day):
    """How long, and what to do; never an old number as a new one."""
    said: list[tuple[float, int]] = []
    for seen in day.hill.history.since(day.pulled, day.plugged):
        if seen.at > day.pulled and (found := re.search(SILENCE, seen.text)):
            said.append((seen.at, int(found[1])))
    assert said, day.hill.story()
    assert said[0][0] - day.pulled <= SLACK_SECONDS
    numbers = [seconds for _, seconds in said]
    assert numbers == sorted(numbers)
    assert numbers[-1] >= PULLED_SECONDS - SLACK_SECONDS
    for at, seconds in said:
        assert -2 <= at - day.pulled - seconds <= SLACK_SECONDS, (at - day.pulled, seconds)
    screen = day.hill.history.at(day.plugged - 3)
    assert "plug it in" in " ".join(screen.split()), screen


def test_the_silence_is_an_alarm_after_half_a_minute(day: Day):
    raised = day.hill.once(day.hill.raised("feed-silent"))
    day.hill.came(raised, due=day.pulled + LIMITS.silent_seconds, what="the alarm of the silent feed")
    day.hill.rang(BATTERY, due=raised, what="the alarm of the silent feed")
    cleared = day.hill.once(day.hill.cleared("feed-silent"))
    assert day.plugged <= cleared


def test_readings_resume(day: Day):
    """Found by itself; the words about the silence go with it."""
    resumed = day.hill.read_since(day.plugged)
    day.hill.came(
        resumed, due=day.plugged + LOOKED_FOR_SECONDS, what="the first reading", early=LOOKED_FOR_SECONDS
    )
    gone = day.hill.history.gone(SILENCE, after=day.plugged)
    day.hill.came(gone, due=resumed, what="its words", early=5)
    conditions = [line.data["condition"] for line in day.hill.lines("feed-changed")]
    assert conditions[0] == conditions[-1] == "reading"
    assert conditions.count("reading") == 2, conditions


def test_the_gap_is_counted_and_nothing_assumed_for_it(day: Day):
    gap = day.hill.show()["battery"]["gap_seconds"]
    assert gap == pytest.approx(day.hill.read_since(day.plugged) - day.pulled, abs=3)


def test_a_hold_does_not_run_over_the_gap(day: Day):
    """The volts were low for half of the hold before: what was seen may count, the gap may not."""
    due = day.hill.read_since(day.plugged) + HOLD_SECONDS
    early = HOLD_SECONDS / 2 + EARLY_SECONDS
    raised = day.hill.once(day.hill.raised("low"))
    day.hill.came(raised, due=due, what="battery low", early=early)
    day.hill.came(day.hill.history.first(BATTERY_WORDS["low"]), due=due, what="the word LOW", early=early)
