"""True time out of sentences that arrive late, damaged, stepping, or not at all."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldtui.session.clock_estimate import (
    LEAST_UNCERTAINTY_SECONDS,
    UNCONFIRMED_SECONDS,
    ClockEstimator,
    TimeEstimate,
)
from tests.support.memory import held_bytes

START = datetime(2026, 6, 14, 17, 0, tzinfo=UTC)
MONO = 5000.0
LEAD = START.timestamp() - MONO


def heard(
    seconds: int, delay: float | list[float] = 0.25, *, off: float = 0.0, first: int = 0
) -> ClockEstimator:
    """A receiver heard for so long, its sentences that late, its time `off` from the truth."""
    estimator = ClockEstimator()
    tell(estimator, range(first, first + seconds), delay, off)
    return estimator


def tell(estimator: ClockEstimator, when: range, delay: float | list[float], off: float = 0.0) -> None:
    for number, second in enumerate(when):
        late = delay if isinstance(delay, float) else delay[number % len(delay)]
        estimator.take(START + timedelta(seconds=second + off), MONO + second + late)


def known(estimator: ClockEstimator) -> TimeEstimate:
    estimate = estimator.estimate()
    assert estimate is not None
    return estimate


def test_nothing_is_said_after_a_few_sentences() -> None:
    assert ClockEstimator().estimate() is None
    assert heard(4).estimate() is None


def test_seconds_are_not_trusted_before_a_minute_in_step() -> None:
    """A receiver without an almanac may be off by the leap seconds."""
    soon, later = known(heard(30)), known(heard(70))
    assert (soon.confirmed, soon.uncertainty_seconds) == (False, UNCONFIRMED_SECONDS)
    assert (later.confirmed, later.uncertainty_seconds) == (True, LEAST_UNCERTAINTY_SECONDS)


@given(st.lists(st.floats(0.02, 0.69), min_size=90, max_size=90))
def test_the_truth_is_within_what_is_claimed(delays: list[float]) -> None:
    """Whatever the delays of an ordinary line are: a sentence, a burst before it, the work of the receiver."""
    estimate = known(heard(90, delays))
    assert abs(estimate.lead_seconds - LEAD) <= estimate.uncertainty_seconds


def test_late_sentences_pull_nothing() -> None:
    """Nine in ten come a second late because the board is busy; one in ten does not."""
    estimate = known(heard(120, [1.2] * 9 + [0.2]))
    assert estimate.lead_seconds == pytest.approx(LEAD, abs=0.01)


def test_a_damaged_time_that_its_checksum_did_not_show_changes_nothing() -> None:
    estimator, random = ClockEstimator(), Random(4)
    for second in range(200):
        wrong = random.choice([-3600, 3600, 10, 40_000]) if second % 12 == 5 else 0
        estimator.take(START + timedelta(seconds=second + wrong), MONO + second + 0.2)
    estimate = known(estimator)
    assert estimate.confirmed
    assert estimate.lead_seconds == pytest.approx(LEAD, abs=0.01)


def test_the_same_instant_again_tells_nothing() -> None:
    """The second sentence of a second, and a receiver that stands still."""
    estimator = heard(80)
    before = estimator.estimate()
    for late in range(1, 400):
        estimator.take(START + timedelta(seconds=79), MONO + 79 + late)
    assert estimator.estimate() == before


def test_a_receiver_that_learns_its_leap_seconds_is_followed() -> None:
    """It steps back by whole seconds when the almanac has come: the seconds before it are forgotten."""
    estimator = heard(100, off=3.0)
    assert known(estimator).lead_seconds == pytest.approx(LEAD + 3.0, abs=0.3)
    tell(estimator, range(100, 110), 0.2)
    after = known(estimator)
    assert after.lead_seconds == pytest.approx(LEAD, abs=0.01)
    tell(estimator, range(110, 180), 0.2)
    assert (after.confirmed, known(estimator).confirmed) == (False, True)


def test_a_receiver_that_contradicts_itself_is_no_clock() -> None:
    estimator, random = ClockEstimator(), Random(5)
    for second in range(200):
        estimator.take(START + timedelta(seconds=random.uniform(-1e5, 1e5)), MONO + second)
    assert estimator.estimate() is None


def test_the_offset_is_what_the_system_clock_lacks() -> None:
    estimate = TimeEstimate(lead_seconds=LEAD, uncertainty_seconds=0.5, confirmed=True)
    slow = START - timedelta(hours=3, minutes=17)
    assert estimate.offset_seconds(slow, MONO) == pytest.approx(3 * 3600 + 17 * 60)


def test_a_board_that_runs_for_a_day_holds_no_more_than_five_minutes() -> None:
    assert held_bytes(heard(3000, [0.1, 0.2, 0.3])) < 1.1 * held_bytes(heard(300, [0.1, 0.2, 0.3]))
