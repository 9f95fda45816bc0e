"""The sign-off stands, and the interval passes under it: two demands, and both are told."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import NamedTuple

import pytest

from tests.support.hill import LATE, NOW, SIGN_OFF, SLACK_SECONDS, SOON, Hill, station
from tests.support.rings import CALL

pytestmark = pytest.mark.real_time

INTERVAL_SECONDS = 120.0
SOON_AT, NOW_AT, LATE_AT = INTERVAL_SECONDS - 60, INTERVAL_SECONDS, INTERVAL_SECONDS + 60
AGAIN_AT = LATE_AT + 60
ESCAPE_AT = AGAIN_AT + SLACK_SECONDS + 3
CALL_AT = ESCAPE_AT + 75
END_AT = CALL_AT + 70
LEAST_APART_SECONDS = 25.0


class Day(NamedTuple):
    """What is looked at afterwards."""

    hill: Hill
    sent: float
    """When the transmission began, from which the interval counts."""
    logged: float
    answered: float
    called: float


@pytest.fixture(scope="module")
def day(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Day]:
    folder = tmp_path_factory.mktemp("signed-off")
    with Hill(folder / "hill", station(interval_minutes=INTERVAL_SECONDS / 60)) as hill:
        hill.press("f2")
        hill.wait(3)
        sent = hill.over(3)
        logged = hill.enter("kd7qsv 59 57 Rosa")
        hill.until(sent + ESCAPE_AT)
        answered = hill.press("escape")
        hill.until(sent + CALL_AT)
        called = hill.press("f2")
        hill.until(sent + END_AT)
        yield Day(hill, sent, logged, answered, called)


def test_the_end_without_a_call_asks_for_one(day: Day):
    day.hill.came(day.hill.history.first(SIGN_OFF), due=day.logged, what="SIGN OFF")
    day.hill.rang(CALL, due=day.logged, what="SIGN OFF")


@pytest.mark.parametrize(("word", "seconds"), [(SOON, SOON_AT), (NOW, NOW_AT), (LATE, LATE_AT)])
def test_each_step_of_the_interval_is_told_while_it_stands(day: Day, word: str, seconds: float):
    """A sign-off that stands takes nothing of the interval away (47 CFR 97.119(a))."""
    due = day.sent + seconds
    day.hill.came(day.hill.history.first(word), due=due, what=word)
    day.hill.rang(CALL, due=due, what=word)


def test_nothing_counts_up_to_a_sign_off(day: Day):
    """Behind the deadline stands how late it is, never a time that is left."""
    for seen in day.hill.history.since(day.sent + NOW_AT + SLACK_SECONDS, day.called - 1):
        assert "to SIGN OFF" not in seen.text, seen.text


def test_it_rings_again_every_minute_until_answered(day: Day):
    day.hill.rang(CALL, due=day.sent + AGAIN_AT, what="LATE, once more", early=10)
    day.hill.silent(day.answered + 3, day.called, "Escape answered the last step")


def test_it_does_not_nag(day: Day):
    """Four steps and a repeat; each is the call's own ring, and they are spaced out."""
    rings = day.hill.rings_between(day.sent, day.answered)
    assert len(rings) <= 6, day.hill.story()
    assert {ring.strokes for ring in rings} == {CALL}, day.hill.story()
    for before, after in pairwise(rings):
        assert after.at - before.at >= LEAST_APART_SECONDS, day.hill.story()


def test_the_call_ends_it(day: Day):
    gone = day.hill.history.gone(f"{LATE}|{SIGN_OFF}", after=day.called)
    day.hill.came(gone, due=day.called, what="the end of LATE")
    day.hill.silent(day.called + 3, day.sent + END_AT, "the call was given")
    told = day.hill.show()["identification"]
    assert told["state"] == "quiet"
    assert told["longest_gap_seconds"] == pytest.approx(CALL_AT, abs=SLACK_SECONDS)
