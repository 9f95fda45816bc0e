"""Hours: worked examples, duty, Peukert, sun, and the interval."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldtui.power.charge import ChargeBand
from fieldtui.power.packs import chemistries, make_pack, peukert_hours
from fieldtui.power.runtime import (
    MOST_HOURS,
    PANEL_YIELD,
    HoursLeft,
    average_amps,
    duty_amps,
    duty_fraction,
    hours_left,
    plan,
)


def test_two_packs_of_16_ah_at_one_amp_standby_last_32_hours() -> None:
    """Common practice, no source: 32 Ah at 1 A, all of it usable."""
    result = plan(make_pack("lifepo4", 16, parallel=2), 1.0, usable_percent=100)
    assert result.amp_hours == 32
    assert result.hours == pytest.approx(32)
    assert result.hours_with_sun is None


def test_duty_of_one_in_ten_at_ten_amps_is_the_time_weighted_mean() -> None:
    """0.1 x 10 A + 0.9 x 0.6 A = 1.54 A; 20 Ah at 80 % last 10.39 h (usable Ah over average A)."""
    result = plan(make_pack("lifepo4", 20), 0.6, transmit_amps=10, transmit_percent=10, usable_percent=80)
    assert result.average_amps == pytest.approx(1.54)
    assert result.hours == pytest.approx(10.38961, rel=1e-6)


def test_lead_at_a_constant_load_is_peukert_times_the_usable_share() -> None:
    pack = make_pack("agm", 18)
    hours = plan(pack, 3.0, usable_percent=50).hours
    assert hours == pytest.approx(0.5 * peukert_hours(18, 20, 3.0, pack.chemistry.peukert_exponent))


def test_lead_below_its_rated_load_is_not_credited_with_more() -> None:
    assert plan(make_pack("agm", 100), 1.0, usable_percent=100).hours == pytest.approx(100)


def test_lead_lasts_shorter_than_lithium_at_the_same_heavy_duty() -> None:
    lead, lithium = (
        plan(make_pack(name, 18), 0.6, transmit_amps=10, transmit_percent=30, usable_percent=100).hours
        for name in ("agm", "lifepo4")
    )
    assert lead < 0.9 * lithium


def test_sun_lengthens_by_what_the_panel_yields() -> None:
    """20 W at 65 % on 12.8 V is 1.016 A of a 2 A load: 20 Ah last 20 h instead of 10."""
    result = plan(make_pack("lifepo4", 20), 2.0, panel_watts=20.0)
    gives = 20 * PANEL_YIELD / 12.8
    assert result.hours == pytest.approx(10)
    assert result.hours_with_sun == pytest.approx(20 / (2 - gives))


def test_panel_that_carries_the_load_is_said() -> None:
    assert plan(make_pack("lifepo4", 20), 0.5, panel_watts=100.0).sun_carries_load


def test_surplus_of_the_panel_in_receive_counts_towards_transmit() -> None:
    """Average net load decides for a chemistry without Peukert loss."""
    result = plan(make_pack("lifepo4", 20), 0.5, transmit_amps=10, transmit_percent=20, panel_watts=20.0)
    gives = 20 * PANEL_YIELD / 12.8
    assert result.hours_with_sun == pytest.approx(20 / (2.4 - gives))


@given(
    kind=st.sampled_from([each.name for each in chemistries()]),
    amp_hours=st.floats(1, 200),
    receive=st.floats(0.05, 3),
    transmit=st.floats(0.1, 25),
    percent=st.floats(0, 100),
    panel=st.floats(0, 200),
)
@settings(deadline=None, max_examples=150)
def test_more_transmitting_never_lasts_longer_and_sun_never_shorter(
    kind: str, amp_hours: float, receive: float, transmit: float, percent: float, panel: float
) -> None:
    """Properties of any plan, whatever the chemistry."""
    pack = make_pack(kind, amp_hours)
    heavy = receive + transmit
    result = plan(pack, receive, transmit_amps=heavy, transmit_percent=percent, panel_watts=panel)
    idle = plan(pack, receive)
    assert result.hours <= idle.hours * (1 + 1e-9)
    assert result.hours_with_sun is not None
    assert result.hours <= result.hours_with_sun * (1 + 1e-9) <= MOST_HOURS * (1 + 1e-9)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ({"receive_amps": -1.0}, "receive current of -1 A is not possible"),
        ({"receive_amps": 0.0}, "load is 0 A"),
        ({"receive_amps": 1.0, "transmit_percent": 120.0}, "give 0 to 100"),
        ({"receive_amps": 1.0, "usable_percent": 0.0}, "usable charge"),
        ({"receive_amps": 1.0, "panel_watts": -5.0}, "panel of -5 W"),
        ({"receive_amps": float("nan")}, "is not possible"),
    ],
)
def test_impossible_plans_are_refused_with_the_remedy(arguments: dict, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        plan(make_pack("lifepo4", 20), **arguments)


def test_average_needs_time() -> None:
    with pytest.raises(ValueError, match="one above 0"):
        average_amps([(0.0, 5.0)])
    assert duty_amps(1.0, 9.0, 25.0) == pytest.approx(3.0)


def test_duty_counts_only_what_lies_in_the_window() -> None:
    spans = [(0.0, 100.0), (1990.0, 2080.0), (3000.0, 3060.0), (3590.0, 3700.0)]
    assert duty_fraction(spans, 3600.0) == pytest.approx((90 + 60 + 10) / 1800 - 0 + 0, abs=0.001)


def test_hours_left_keep_the_order_of_the_interval_and_the_reserve_of_lead() -> None:
    pack = make_pack("agm", 20)
    left = hours_left(pack, ChargeBand(60, 80, ""), 70.0, 1.0)
    assert left.low < left.best < left.high
    assert left.best == pytest.approx((70 - 50) / 100 * 20)
    assert hours_left(pack, ChargeBand(20, 40, ""), 30.0, 1.0).best == 0.0


@pytest.mark.parametrize(
    ("low", "high", "words", "short"),
    [
        (6.7, 16.9, "6 to 17 h left", "6-17 h left"),
        (7.0, 16.0, "7 to 16 h left", "7-16 h left"),
        (0.0, 0.93, "0 to 1.0 h left", "0-1.0 h left"),
        (0.47, 1.31, "0.4 to 1.4 h left", "0.4-1.4 h left"),
        (2.4, 5.2, "2.4 to 6 h left", "2.4-6 h left"),
        (2.95, 2.99, "2.9 to 3 h left", "2.9-3 h left"),
        (0.3, 0.3, "0.3 h left", "0.3 h left"),
        (40.0, 200.0, "40 h to days left", "40 h to days left"),
        (120.0, 10_000.0, "days left", "days left"),
    ],
)
def test_hours_are_said_as_an_interval_low_end_first(low: float, high: float, words: str, short: str) -> None:
    """The low end is rounded down and the high end up: what is promised is there."""
    left = HoursLeft(low, (low + high) / 2, high)
    assert (left.words(), left.words(short=True)) == (words, short)
