"""F3 pressed for F2, in gloves, where no shunt tells that nobody is sending."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import pytest

from tests.support.hill import SLACK_SECONDS, Hill, station
from tests.support.pack_alarms import LIMITS
from tests.support.rings import TOO_LONG

pytestmark = pytest.mark.real_time

LONG_SECONDS = LIMITS.long_over_seconds
AGAIN_SECONDS = 60.0
SAID = r"sending for .*by your mark.*F3|by mark: F3 ends it"


class Day(NamedTuple):
    """What is looked at afterwards."""

    hill: Hill
    marked: float
    answered: float
    end: float


@pytest.fixture(scope="module")
def day(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Day]:
    folder = tmp_path_factory.mktemp("left-running")
    with Hill(folder / "hill", station()) as hill:
        hill.wait(3)
        marked = hill.press("f3")
        hill.until(marked + LONG_SECONDS + AGAIN_SECONDS + SLACK_SECONDS + 3)
        answered = hill.press("escape")
        hill.wait(AGAIN_SECONDS + SLACK_SECONDS)
        end = hill.press("f3")
        yield Day(hill, marked, answered, end)


def test_it_is_told_when_it_is_too_long(day: Day):
    due = day.marked + LONG_SECONDS
    day.hill.silent(day.hill.begun, due - 1.5, "an over of an ordinary length")
    day.hill.rang(TOO_LONG, due=due, what="too long")
    day.hill.came(day.hill.history.first(SAID, after=due - 1), due=due, what="words about it")


def test_it_is_told_again_until_it_is_answered(day: Day):
    day.hill.rang(TOO_LONG, due=day.marked + LONG_SECONDS + AGAIN_SECONDS, what="too long, said again")
    day.hill.silent(day.answered + 3, day.end, "it was answered")
