"""Net control: ten check-ins in a minute, each with a short over. One communication, and nobody nags ten times."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice
from typing import NamedTuple

import pytest

from tests.support.calls import invented_calls
from tests.support.hill import SLACK_SECONDS, Hill, station
from tests.support.rings import CALL

pytestmark = pytest.mark.real_time

CHECK_INS, EACH_SECONDS, OVER_SECONDS = 10, 5.5, 1.5
REPEAT_SECONDS = 60.0


class Day(NamedTuple):
    """What is looked at afterwards."""

    hill: Hill
    begun: float
    logged: float
    called: float
    end: float


@pytest.fixture(scope="module")
def day(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Day]:
    folder = tmp_path_factory.mktemp("net")
    with Hill(folder / "hill", station()) as hill:
        hill.press("f2")
        hill.wait(3)
        begun = logged = 0.0
        for number, call in enumerate(islice(invented_calls(), CHECK_INS)):
            over = hill.over(OVER_SECONDS)
            begun = begun or over
            typed = hill.enter(f"{call.lower()} 59 59")
            logged = logged or typed
            hill.until(begun + (number + 1) * EACH_SECONDS)
        hill.wait(20)
        called = hill.press("f2")
        hill.wait(REPEAT_SECONDS + SLACK_SECONDS)
        yield Day(hill, begun, logged, called, called + REPEAT_SECONDS + SLACK_SECONDS)


def test_ten_check_ins_are_at_most_one_new_ring(day: Day):
    """The first end without a call may ring; a minute later it may be said again, once."""
    during = day.hill.rings_between(day.begun, day.begun + CHECK_INS * EACH_SECONDS)
    assert len(during) <= 1, day.hill.story()
    before_the_call = day.hill.rings_between(day.begun, day.called)
    assert len(before_the_call) <= 2, day.hill.story()
    assert {ring.strokes for ring in before_the_call} <= {CALL}


def test_one_call_at_the_end_is_enough(day: Day):
    day.hill.silent(day.called + 3, day.end, "the call was given")
    told = day.hill.show()
    assert len(told["contacts"]) == CHECK_INS
    assert told["identification"]["state"] == "quiet"
    assert told["identification"]["missed"] <= 1, day.hill.show_words()
