"""The ten minutes of 47 CFR 97.119(a), waited for, under a sign-off that stands from the beginning."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import pytest

from tests.support.hill import NOW, SIGN_OFF, SLACK_SECONDS, SOON, Hill, station
from tests.support.rings import CALL

pytestmark = pytest.mark.real_time

SOON_AT, NOW_AT = 540.0, 600.0
"""The rule: at least every ten minutes. A minute before: a choice of this program."""
END_AT = NOW_AT + SLACK_SECONDS + 3


class Day(NamedTuple):
    """What is looked at afterwards."""

    hill: Hill
    sent: float
    logged: float
    answered: float


@pytest.fixture(scope="module")
def day(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Day]:
    folder = tmp_path_factory.mktemp("ten-minutes")
    with Hill(folder / "hill", station()) as hill:
        hill.press("f2")
        hill.wait(3)
        sent = hill.over(3)
        logged = hill.enter("kd7qsv 59 57 Rosa")
        hill.until(logged + SLACK_SECONDS + 3)
        answered = hill.press("escape")
        hill.until(sent + END_AT)
        yield Day(hill, sent, logged, answered)


def test_the_sign_off_is_asked_for_and_answered(day: Day):
    day.hill.came(day.hill.history.first(SIGN_OFF), due=day.logged, what="SIGN OFF")
    day.hill.rang(CALL, due=day.logged, what="SIGN OFF")
    day.hill.silent(day.answered + 3, day.sent + SOON_AT - 3, "it was answered")


@pytest.mark.parametrize(("word", "seconds"), [(SOON, SOON_AT), (NOW, NOW_AT)])
def test_the_tenth_minute_does_not_pass_in_silence(day: Day, word: str, seconds: float):
    due = day.sent + seconds
    day.hill.came(day.hill.history.first(word), due=due, what=word)
    day.hill.rang(CALL, due=due, what=word)
