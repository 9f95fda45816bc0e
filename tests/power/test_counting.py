"""Counting charge and energy: exact on straight lines, honest about gaps, cheap to go on with."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldtui.power.counting import Counter


def counted(samples: list[tuple[float, float, float]], threshold: float = 5.0) -> Counter:
    counter = Counter(gap_threshold_seconds=threshold)
    for sample in samples:
        counter.add(*sample)
    return counter


def test_gap_is_stated_and_not_bridged() -> None:
    counter = counted([(0, 13, -1), (1, 13, -1), (61, 13, -1), (62, 13, -1), (72, 13, -1)])
    assert counter.gap_seconds == 70
    assert counter.longest_gap_seconds == 60
    assert counter.gaps == 2
    assert counter.covered_seconds == 2
    assert counter.amp_hours_out == pytest.approx(2 / 3600)


def test_in_and_out_are_kept_apart_across_a_zero_crossing() -> None:
    """From -2 A to +2 A in 4 s: two triangles of 2 A s, one out and one in."""
    counter = counted([(0, 13, -2), (4, 13, 2)])
    assert counter.amp_hours_out == pytest.approx(2 / 3600)
    assert counter.amp_hours_in == pytest.approx(2 / 3600)
    assert counter.amp_hours_net == pytest.approx(0)


def test_energy_follows_volts_and_amps() -> None:
    counter = counted([(0, 12, -10), (3, 12, -10)])
    assert counter.watt_hours_out == pytest.approx(12 * 10 * 3 / 3600)
    assert counter.average_amps == pytest.approx(-10)


def test_samples_that_go_back_or_are_no_numbers_are_ignored_and_counted() -> None:
    counter = counted(
        [(10, 13, -1), (9, 13, -50), (11, float("nan"), -1), (11, 13, float("inf")), (12, 13, -1)]
    )
    assert counter.ignored == 3
    assert counter.amp_hours_out == pytest.approx(2 / 3600)


def test_empty_counter_has_no_average() -> None:
    assert Counter().average_amps is None


@given(
    st.lists(st.tuples(st.floats(0.05, 4.9), st.floats(9, 15), st.floats(-30, 30)), min_size=2, max_size=40)
)
@settings(deadline=None, max_examples=100)
def test_net_charge_is_the_plain_trapezium_sum(steps: list[tuple[float, float, float]]) -> None:
    """However in and out are split, their difference is the trapezium rule, and every second is accounted for."""
    samples, now = [], 0.0
    for elapsed, volts, amps in steps:
        now += elapsed
        samples.append((now, volts, amps))
    counter = counted(samples)
    plain = -sum((b[0] - a[0]) * (a[2] + b[2]) / 2 for a, b in pairwise(samples)) / 3600
    assert counter.amp_hours_net == pytest.approx(plain, abs=1e-9)
    assert counter.amp_hours_out >= 0
    assert counter.amp_hours_in >= 0
    assert counter.covered_seconds == pytest.approx(samples[-1][0] - samples[0][0])


def test_a_finer_sampling_of_a_step_load_agrees_within_one_percent() -> None:
    """Ten samples a second against the exact amp-hours of an hour of 15 s overs every 2 min."""
    counter = Counter()
    for tenth in range(36000):
        counter.add(tenth / 10, 13.0, -9.0 if tenth / 10 % 120 < 15 else -0.6)
    assert counter.amp_hours_out == pytest.approx((9.0 * 450 + 0.6 * 3150) / 3600, rel=0.01)
