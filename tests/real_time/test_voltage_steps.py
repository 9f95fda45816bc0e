"""A pack goes down in three steps, is told of at each, and comes up again with a charger."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from tests.support.hill import BATTERY_WORDS, PACK, SLACK_SECONDS, Hill, station
from tests.support.instruments import Shunt, steps
from tests.support.pack_alarms import BOUNDS, HOLDS, LIMITS
from tests.support.rings import BATTERY

pytestmark = pytest.mark.real_time

STEP_SECONDS, RECEIVE_AMPS, CHARGE_AMPS = 35.0, -0.42, 6.0
DOWN = steps(
    *((STEP_SECONDS, bound - 0.06, RECEIVE_AMPS) for bound in BOUNDS.values()),
)
MENDED_SECONDS = 30.0 + 2 * SLACK_SECONDS
REPEAT_SECONDS = 55.0


class Day(NamedTuple):
    """What is looked at afterwards."""

    hill: Hill
    shunt: Shunt
    down: dict[str, Any]
    """What `show` said at the bottom."""
    words_down: str
    screen_down: str
    up: dict[str, Any]
    charged: float


@pytest.fixture(scope="module")
def day(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Day]:
    folder: Path = tmp_path_factory.mktemp("steps")
    full = steps((1.0, 13.2, RECEIVE_AMPS))
    with (
        Shunt(folder / "shunt", full) as shunt,
        Hill(folder / "hill", station(more=PACK), "--shunt", shunt.url) as hill,
    ):
        hill.wait(15)
        shunt.measure(DOWN)
        hill.wait(STEP_SECONDS * len(BOUNDS) + 2)
        screen_down, down, words_down = hill.terminal.text, hill.show()["battery"], hill.show_words()
        charged = shunt.measure(steps((1.0, 13.6, CHARGE_AMPS)))
        hill.wait(MENDED_SECONDS)
        yield Day(hill, shunt, down, words_down, screen_down, hill.show()["battery"], charged)


def due(day: Day, alarm: str) -> float:
    """The hold after the first reading below the alarm's volts."""
    return day.shunt.first(lambda measured: measured.volts < BOUNDS[alarm]) + HOLDS[alarm]


@pytest.mark.parametrize("alarm", BOUNDS)
def test_each_step_is_a_word_a_ring_and_a_line(day: Day, alarm: str):
    """Within the hold and two seconds; not before it, where only volts can tell."""
    seen = day.hill.history.first(BATTERY_WORDS[alarm], after=day.hill.begun)
    raised = day.hill.raised(alarm)
    moment = due(day, alarm)
    # A charge that follows the volts may tell of `very low` before the volts do; of the others it cannot.
    early = STEP_SECONDS if alarm == "very-low" else 1.5
    day.hill.came(seen, due=moment, what=f"the word of {alarm}", early=early)
    assert len(raised) == 1, f"{alarm} was raised {len(raised)} times\n{day.hill.story()}"
    day.hill.came(raised[0], due=moment, what=f"the line of {alarm}", early=early)
    day.hill.rang(BATTERY, due=raised[0], what=alarm)


def test_they_come_in_their_order(day: Day):
    raised = [line.data["alarm"] for line in day.hill.lines("alarm-raised") if line.data["alarm"] in BOUNDS]
    assert raised == list(BOUNDS), day.hill.story()


def test_it_rings_for_nothing_else(day: Day):
    """Each ring is of a new alarm, or says an old one again a minute later."""
    news = [line.at for line in day.hill.lines("alarm-raised")]
    before = float("-inf")
    for ring in day.hill.rings:
        new = any(-1.5 <= ring.at - at <= SLACK_SECONDS for at in news)
        assert new or ring.at - before >= REPEAT_SECONDS, (ring, day.hill.story())
        before = ring.at


def test_charge_and_hours_follow_the_volts_down(day: Day):
    """At 2.6 V a cell nobody has eleven hours left. 20 % of the pack at this load is the most to be believed."""
    assert day.down["charge_low_percent"] <= 10, day.words_down
    assert day.down["charge_high_percent"] <= 25, day.words_down
    stands = re.search(r"(\d+)(?: to |-)\d+ %", day.screen_down)
    assert stands is not None, day.screen_down
    assert int(stands[1]) <= 10, day.screen_down
    most_hours = 0.25 * LIMITS.pack.total_amp_hours / -RECEIVE_AMPS
    assert day.down["hours_left"] is None or day.down["hours_left_low"] <= most_hours / 2, day.words_down
    assert "cut-off near" in day.words_down, day.words_down
    assert {alarm["alarm"] for alarm in day.down["alarms"]} >= set(BOUNDS), day.words_down


def test_a_charger_ends_them(day: Day):
    """The volts are up for half a minute: the cut-off is far. What still stands is about the charge."""
    at = due(day, "cutoff-near")
    cleared = day.hill.once(day.hill.cleared("cutoff-near"))
    day.hill.came(cleared, due=day.charged + 31, what="the end of cut-off near")
    assert cleared > at
    gone = day.hill.history.gone(BATTERY_WORDS["cutoff-near"], after=day.charged)
    day.hill.came(gone, due=day.charged + 31, what="the end of STOP SOON")
    standing = {alarm["alarm"] for alarm in day.up["alarms"]}
    for alarm, percent in (("very-low", 10.0), ("low", 20.0)):
        low = day.up["charge_high_percent"] <= percent + 5
        assert alarm not in standing or low, (alarm, day.up, day.hill.story())
