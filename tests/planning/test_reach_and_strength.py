"""Rings over a smooth earth, and reports beside what was to be expected."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldtui.planning.rings import rings, smooth_earth_dbm
from fieldtui.planning.strength import Heard, expected_vs_reported, reported_s_units
from fieldtui.radio.path.free_space import free_space_loss_db
from fieldtui.radio.path.link import Radios

RADIOS = Radios(146e6, 10)


@pytest.mark.parametrize("height_m", [2.0, 30.0, 900.0])
def test_a_ring_is_where_its_strength_ends(height_m):
    found = rings(RADIOS, height_m, 2)
    assert [ring.s_units for ring in found] == list(range(9, 0, -1))
    for ring in found:
        least_dbm = RADIOS.dbm_of_s_units(ring.s_units)
        assert smooth_earth_dbm(RADIOS, height_m, 2, ring.distance_m) == pytest.approx(least_dbm, abs=0.01)
        assert smooth_earth_dbm(RADIOS, height_m, 2, ring.distance_m + 5) < least_dbm
    assert sorted(ring.distance_m for ring in found) == [ring.distance_m for ring in found]


@given(st.floats(0, 3000), st.floats(0, 3000), st.floats(0.01, 1500))
def test_higher_or_with_more_power_no_ring_is_smaller(one_m, other_m, watts):
    low_m, high_m = sorted((one_m, other_m))
    low, high = rings(Radios(146e6, watts), low_m, 2), rings(Radios(146e6, 2 * watts), high_m, 2)
    far = {ring.s_units: ring.distance_m for ring in high}
    assert all(far[ring.s_units] >= ring.distance_m - 1 for ring in low)


def test_in_the_open_the_strength_is_that_of_free_space():
    """900 m high, 20 km away, far within the horizon: only free space is lost (ITU-R P.525)."""
    free_dbm = RADIOS.received_dbm(free_space_loss_db(146e6, 20_000))
    assert smooth_earth_dbm(RADIOS, 900, 900, 20_000) == pytest.approx(free_dbm, abs=0.05)


@pytest.mark.parametrize(
    ("report", "units"),
    [
        ("59", 9),
        ("57", 7),
        ("599", 9),
        ("59+20", 9 + 20 / 6),
        ("-12", None),
        ("", None),
        (None, None),
        ("5", None),
    ],
)
def test_the_strength_in_a_report(report, units):
    assert reported_s_units(report) == (None if units is None else pytest.approx(units))


def heard(report, expected_units, call="KD7QSV", **more):
    return Heard(call, report, 20_000, RADIOS, expected_dbm=RADIOS.dbm_of_s_units(expected_units), **more)


def test_even_weakness_points_to_feed_line_or_antenna():
    told = expected_vs_reported([heard(f"5{digit}", digit + 4) for digit in (2, 3, 4, 5, 3)])
    assert told.median_s_units == pytest.approx(-4)
    assert told.spread_s_units == pytest.approx(0)
    assert "feed line, connectors, antenna and power" in told.suggests
    assert "Reports are rough" in told.caution


def test_uneven_weakness_points_to_hills():
    pairs = [("51", 9), ("58", 8), ("52", 9), ("59", 9), ("51", 8), ("52", 6.5), ("58", 9)]
    told = expected_vs_reported([heard(report, units) for report, units in pairs])
    assert told.median_s_units == pytest.approx(-4.5)
    assert "hills" in told.suggests
    assert "unevenly" in told.suggests


def test_usual_reports_are_no_sign_of_a_fault():
    told = expected_vs_reported(
        [heard("59", 13), heard("57", 8), heard("58", 8), heard("59", 9), heard("56", 7)]
    )
    assert told.used == 5
    assert "no sign of a fault" in told.suggests


def test_a_plain_59_fits_anything_stronger():
    assert expected_vs_reported([heard("59", 15)]).contacts[0].difference == 0
    assert expected_vs_reported([heard("59+10", 15)]).contacts[0].difference == pytest.approx(10 / 6 - 6)


def test_few_reports_say_nothing():
    assert "too few" in expected_vs_reported([heard("51", 9)]).suggests
    assert expected_vs_reported([]).suggests.endswith("nothing to compare")


@pytest.mark.parametrize(
    ("contact", "why"),
    [
        (Heard("KD7QSV", None, 20_000, RADIOS), "no report received"),
        (Heard("KD7QSV", "-12", 20_000, RADIOS), "no strength in the report"),
        (Heard("KD7QSV", "59", None, RADIOS), "no distance"),
        (Heard("KD7QSV", "59", 0.0, RADIOS), "no distance"),
        (Heard("KD7QSV", "53", 5_000_000, RADIOS), "carried by something else"),
        (heard("59", 9, by_repeater=True), "over a repeater"),
    ],
)
def test_what_cannot_be_compared_says_why(contact, why):
    told = expected_vs_reported([contact])
    assert told.used == 0
    assert told.contacts[0].difference is None
    assert told.contacts[0].why == why


@given(st.lists(st.tuples(st.none() | st.text(max_size=8), st.none() | st.floats(0, 2e7)), max_size=12))
def test_odd_reports_never_stop_it(pairs):
    told = expected_vs_reported([Heard("KD7QSV", report, distance, RADIOS) for report, distance in pairs])
    assert len(told.contacts) == len(pairs)
    assert told.suggests
