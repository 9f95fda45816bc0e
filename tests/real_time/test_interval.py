"""The interval alone, with transmissions that the shunt tells; two of them lie over the moments when it should ring."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import pytest

from tests.support.hill import LATE, NOW, SLACK_SECONDS, SOON, Hill, station
from tests.support.instruments import Shunt, steps
from tests.support.rings import CALL

pytestmark = pytest.mark.real_time

INTERVAL_SECONDS = 120.0
SOON_AT, NOW_AT, LATE_AT = INTERVAL_SECONDS - 60, INTERVAL_SECONDS, INTERVAL_SECONDS + 60
RECEIVE, SEND = (13.2, -0.42), (12.9, -6.8)
SECOND_OVER, THIRD_OVER = (50.0, 80.0), (110.0, 130.0)
ESCAPE_AT = SECOND_OVER[1] + SLACK_SECONDS + 3
CALL_AT, END_AT = LATE_AT + SLACK_SECONDS + 3, LATE_AT + 90
TRANSMISSIONS = steps(
    (6, *SEND), (SECOND_OVER[0] - 6, *RECEIVE), (SECOND_OVER[1] - SECOND_OVER[0], *SEND),
    (THIRD_OVER[0] - SECOND_OVER[1], *RECEIVE), (THIRD_OVER[1] - THIRD_OVER[0], *SEND), (1, *RECEIVE),
)  # fmt: skip


class Day(NamedTuple):
    """What is looked at afterwards."""

    hill: Hill
    sent: float
    ends: list[float]
    """When each transmission ended, by the frames."""
    answered: float
    called: float


@pytest.fixture(scope="module")
def day(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Day]:
    folder = tmp_path_factory.mktemp("interval")
    with (
        Shunt(folder / "shunt", steps((1.0, *RECEIVE))) as shunt,
        Hill(folder / "hill", station(interval_minutes=INTERVAL_SECONDS / 60), "--shunt", shunt.url) as hill,
    ):
        hill.wait(25)
        sent = shunt.measure(TRANSMISSIONS)
        hill.until(sent + ESCAPE_AT)
        answered = hill.press("escape")
        hill.until(sent + CALL_AT)
        called = hill.press("f2")
        hill.until(sent + END_AT)
        spans = shunt.spans(lambda measured: measured.amps < -3)
        yield Day(hill, spans[0][0], [end for _, end in spans], answered, called)


def test_the_long_overs_are_known_while_they_last(day: Day):
    """Else it would ring into them."""
    started = [line.at for line in day.hill.lines("transmission-started")]
    assert len(started) == len(day.ends), day.hill.story()
    for told, end in zip(started[1:], day.ends[1:], strict=True):
        assert told < end, day.hill.story()


@pytest.mark.parametrize(("word", "seconds"), [(SOON, SOON_AT), (NOW, NOW_AT), (LATE, LATE_AT)])
def test_each_step_is_a_word_at_its_moment(day: Day, word: str, seconds: float):
    day.hill.came(day.hill.history.first(word), due=day.sent + seconds, what=word, early=3)


def test_it_never_rings_into_a_transmission(day: Day):
    """What came due meanwhile rings as soon as the carrier is down."""
    _, second, third = day.ends
    day.hill.silent(day.hill.begun, second, "nothing was due, and then the operator was sending")
    day.hill.rang(CALL, due=second + 1, what="SOON, after the over")
    day.hill.silent(day.answered + 3, third, "it was answered, and then the operator was sending")
    day.hill.rang(CALL, due=third + 1, what="NOW, after the over")
    day.hill.rang(CALL, due=day.sent + LATE_AT, what="LATE", early=5)


def test_the_call_ends_it(day: Day):
    gone = day.hill.history.gone(LATE, after=day.called)
    day.hill.came(gone, due=day.called, what="the end of LATE")
    day.hill.silent(day.called + 3, day.sent + END_AT, "the call was given")
    told = day.hill.show()["identification"]
    assert (told["state"], told["count"], told["missed"], told["transmissions"]) == ("quiet", 1, 1, 3)
    assert told["longest_gap_seconds"] == pytest.approx(CALL_AT, abs=SLACK_SECONDS)


def test_every_ring_is_the_call_s(day: Day):
    assert {ring.strokes for ring in day.hill.rings} == {CALL}, day.hill.story()
