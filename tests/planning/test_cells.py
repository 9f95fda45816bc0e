"""What the cells of locators leave open of a path; distances by geographiclib (C. Karney, J. Geodesy 87, 2013)."""

from datetime import UTC, datetime

import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldtui.planning.path import End, reckon_path
from fieldtui.planning.session_strength import Equipment, heard_of
from fieldtui.planning.strength import expected_vs_reported
from fieldtui.radio.locator import Cell, read_locator
from fieldtui.radio.path.link import Radios
from fieldtui.session.contact_facts import Whereabouts
from fieldtui.session.contacts import Contact

RADIOS = Radios(146_520_000, 10.0, 6.0)


def end_in(locator: str, height_m: float | None = None) -> End:
    cell = read_locator(locator)
    return End(cell.lat_deg, cell.lon_deg, 1.0, height_m, cell=cell)


def part_of(cell: Cell, up: float, aside: float) -> tuple[float, float]:
    return (
        cell.south_deg + up * (cell.north_deg - cell.south_deg),
        cell.west_deg + aside * (cell.east_deg - cell.west_deg),
    )


def metres(one: tuple[float, float], other: tuple[float, float]) -> float:
    return float(Geodesic.WGS84.Inverse(*one, *other)["s12"])


SHARES = st.floats(0, 1)


@settings(max_examples=60, deadline=None)
@given(
    st.sampled_from([("CN94hb", "CN85mm"), ("CN94", "CN87"), ("JO22", "JO33ab"), ("RE78", "AE08"), ("CN94", "CN84")]),
    SHARES, SHARES, SHARES, SHARES,
)  # fmt: skip
def test_wherever_the_stations_stand_distance_and_strength_lie_within_what_is_told(
    locators: tuple[str, str], up: float, aside: float, up_there: float, aside_there: float
) -> None:
    """RE78 and AE08 lie on both sides of 180 degrees."""
    here, there = end_in(locators[0], 1200.0), end_in(locators[1], 90.0)
    found = reckon_path(here, there, RADIOS).reckoning
    assert found is not None
    assert found.spread is not None
    assert here.cell is not None
    assert there.cell is not None
    one, other = part_of(here.cell, up, aside), part_of(there.cell, up_there, aside_there)
    # Corners are taken a millionth of the cell inside it.
    assert found.spread.nearest_m - 1 <= metres(one, other) <= found.spread.farthest_m + 1
    if metres(one, other) > 100:
        exact = reckon_path(End(*one, height_m=1200.0), End(*other, height_m=90.0), RADIOS).reckoning
        assert exact is not None
        assert found.spread.weakest_dbm - 0.1 <= exact.dbm <= found.spread.strongest_dbm + 0.1


def test_a_cell_wider_than_the_path_allows_gives_no_strength_and_says_why() -> None:
    found = reckon_path(end_in("CN94hb", 1200.0), end_in("CN85", 90.0), RADIOS).reckoning
    assert found is not None
    assert found.strength_words.startswith(
        "no strength: within the cells of the locators it is anything from S0"
    )
    assert "give a longer locator" in found.strength_words
    assert found.sight_words == "in line of sight from part of the cell only"


def test_a_cell_that_a_path_can_do_with_widens_what_is_told() -> None:
    wide = reckon_path(end_in("CN94hb", 1200.0), end_in("CN85mm", 90.0), RADIOS).reckoning
    assert wide is not None
    assert wide.no_strength == ""
    assert wide.uncertainty_db > 10
    assert "cells of the locators counted" in wide.strength_words


def test_coordinates_are_a_point() -> None:
    found = reckon_path(End(44.0, -121.0), End(44.5, -121.0), RADIOS).reckoning
    assert found is not None
    assert found.spread is None
    assert found.uncertainty_db == 10


def test_stations_that_may_stand_at_one_place_get_no_strength() -> None:
    found = reckon_path(end_in("CN94"), end_in("CN94hb"), RADIOS).reckoning
    assert found is not None
    assert "may be at one place" in found.no_strength


def test_far_beyond_every_reach_the_cell_changes_nothing() -> None:
    found = reckon_path(end_in("CN94"), end_in("JN58"), RADIOS).reckoning
    assert found is not None
    assert found.no_strength == ""
    assert found.high.s_units == 0


@pytest.mark.parametrize(("locator", "why"), [("CN85", "cell too wide"), ("CN84mm", None)])
def test_a_report_is_compared_only_where_the_cell_lets_it(locator: str, why: str | None) -> None:
    contact = Contact(
        "a", 1, "KD7QSV", "59", "57", None, None, locator, 146_520_000, None, "FM", 10.0, None, False, None,
        datetime(2026, 6, 14, 17, tzinfo=UTC), "boot", 1.0, "CN94hb", own_height_metres=1200.0,
    )  # fmt: skip
    cell = read_locator(locator)
    heard = heard_of(contact, Whereabouts((cell.lat_deg, cell.lon_deg), "locator"), Equipment())
    assert heard is not None
    one = expected_vs_reported([heard]).contacts[0]
    assert one.why == why
    assert (one.expected is None) is (why is not None)
