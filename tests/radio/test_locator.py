"""Locators against published values, and against exact rational arithmetic."""

import random
import tomllib
from fractions import Fraction
from itertools import pairwise
from pathlib import Path as File
from typing import Any

import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldtui.radio.locator import LENGTHS, LocatorError, is_locator, locator_of, read_locator

ROWS = tomllib.loads(
    (File(__file__).parents[1] / "data" / "check_values_radio.toml").read_text(encoding="utf-8")
)["check"]
PAIRS = (
    (18, "ABCDEFGHIJKLMNOPQR"),
    (10, "0123456789"),
    (24, "abcdefghijklmnopqrstuvwx"),
    (10, "0123456789"),
    (24, "ABCDEFGHIJKLMNOPQRSTUVWX"),
)


def rows(case: str) -> list[Any]:
    """Return the check values of one kind, each named by its id; the sources stand in the file."""
    found = [row for row in ROWS if row["topic"] == "locator" and row["case"] == case]
    assert found
    return [pytest.param(row["inputs"], row["expected"], row["tolerance"], id=row["id"]) for row in found]


def exact_locator(lat_deg: float, lon_deg: float, digits: int) -> str:
    """Return the locator by the definition alone, in fractions, coordinates rounded to 1e-9 degree."""
    billion = 10**9
    east = (Fraction(round(Fraction(lon_deg) * billion), billion) + 180) % 360 / 360
    north = (Fraction(round(Fraction(lat_deg) * billion), billion) + 90) / 180
    locator = ""
    for base, letters in PAIRS[: digits // 2]:
        east, north = east * base, north * base
        column, row = int(east), min(int(north), base - 1)
        locator += letters[column] + letters[row]
        # At the pole the remainder stays a whole cell, so that every pair takes its last letter.
        east, north = east - column, north - row
    return locator


@pytest.mark.parametrize(("inputs", "expected", "tolerance"), rows("encode"))
def test_published_points(
    inputs: dict[str, Any], expected: dict[str, Any], tolerance: dict[str, float]
) -> None:
    answer = locator_of(inputs["lat"], inputs["lon"], inputs["chars"])
    assert answer in expected.get("any_of", [expected.get("locator")])


@pytest.mark.parametrize(("inputs", "expected", "tolerance"), rows("decode"))
def test_published_cells(
    inputs: dict[str, Any], expected: dict[str, Any], tolerance: dict[str, float]
) -> None:
    cell = read_locator(inputs["locator"])
    assert cell.south_deg == pytest.approx(expected["sw_lat"], abs=tolerance["sw_lat"])
    assert cell.west_deg == pytest.approx(expected["sw_lon"], abs=tolerance["sw_lon"])
    assert cell.lat_deg == pytest.approx(expected["centre_lat"], abs=tolerance["centre_lat"])
    assert cell.lon_deg == pytest.approx(expected["centre_lon"], abs=tolerance["centre_lon"])


@pytest.mark.parametrize(("inputs", "expected", "tolerance"), rows("reject"))
def test_no_locator_is_refused_with_one_line(
    inputs: dict[str, Any], expected: dict[str, Any], tolerance: dict[str, float]
) -> None:
    assert not is_locator(inputs["locator"])
    with pytest.raises(LocatorError, match="locator") as refused:
        read_locator(inputs["locator"])
    assert "\n" not in str(refused.value)


@pytest.mark.parametrize(("inputs", "expected", "tolerance"), rows("reject_latlon"))
def test_a_place_off_the_earth_is_refused(
    inputs: dict[str, Any], expected: dict[str, Any], tolerance: dict[str, float]
) -> None:
    with pytest.raises(LocatorError, match="latitude must lie"):
        locator_of(inputs["lat"], inputs["lon"])


@pytest.mark.parametrize(("inputs", "expected", "tolerance"), rows("worst_error_from_centre"))
def test_a_centre_is_no_farther_from_its_corner_than_published(
    inputs: dict[str, Any], expected: dict[str, Any], tolerance: dict[str, float]
) -> None:
    """The cell just north-east of 40 N 75 W, whose centre lies at 40 N to within half a cell."""
    cell = read_locator(locator_of(inputs["centre_lat"], -75, inputs["chars"]))
    half = (cell.north_deg - cell.south_deg) / 2
    lat, lon = inputs["centre_lat"], cell.lon_deg
    # The corner nearer the equator is the farther one.
    corner = Geodesic.WGS84.Inverse(lat, lon, lat - half, cell.west_deg)["s12"]
    assert corner / 1000 == pytest.approx(expected["km"], rel=tolerance["rel"])


@pytest.mark.parametrize(
    ("lat", "lon"),
    [(95.0, 0.0), (-90.1, 0.0), (float("nan"), 0.0), (float("inf"), 0.0), (0.0, float("nan")), (0.0, 1e9)],
)
def test_numbers_that_are_no_place_are_refused(lat: float, lon: float) -> None:
    with pytest.raises(LocatorError, match="must lie between"):
        locator_of(lat, lon)


@pytest.mark.parametrize("digits", [-2, 0, 1, 3, 5, 12])
def test_lengths_that_no_locator_has_are_refused(digits: int) -> None:
    with pytest.raises(LocatorError, match="2, 4, 6, 8 or 10"):
        locator_of(0, 0, digits)


@pytest.mark.parametrize("word", ["ſN31", "JN58TDıı", "ＪＮ58", "JN58td25XEaa", "JN58 td", "KN58ay"])
def test_look_alikes_and_overlong_words_are_no_locators(word: str) -> None:
    """The long s and the dotless i pass for S and I where case is ignored."""
    assert not is_locator(word)


def test_the_definition_written_out_agrees_with_the_published_point() -> None:
    """The oracle of this file, against QST, January 1989."""
    assert exact_locator(48.14666, 11.60833, 6) == "JN58td"


def check_points(count: int, seed: int) -> None:
    """Compare random points, half of them within a hair of a cell edge, where rounding would show."""
    source = random.Random(seed)
    for _ in range(count):
        lat_deg, lon_deg = source.uniform(-90, 90), source.uniform(-180, 180)
        if source.random() < 0.5:
            step = source.choice([10, 1, 1 / 24, 1 / 240, 1 / 5760])
            lat_deg = max(
                -90.0, min(90.0, round(lat_deg / step) * step + source.choice([-3e-6, -1e-9, 0, 1e-9]))
            )
            lon_deg = round(lon_deg / (2 * step)) * 2 * step + source.choice([-3e-6, -1e-9, 0, 1e-9])
        digits = source.choice(LENGTHS)
        assert locator_of(lat_deg, lon_deg, digits) == exact_locator(lat_deg, lon_deg, digits), (
            lat_deg,
            lon_deg,
        )


def test_twenty_thousand_points_agree_with_exact_arithmetic() -> None:
    check_points(20_000, seed=1)


@pytest.mark.slow
def test_a_million_points_agree_with_exact_arithmetic() -> None:
    check_points(1_000_000, seed=2)


@settings(deadline=None)
@given(st.floats(-90, 90), st.floats(-180, 180), st.sampled_from(LENGTHS))
def test_a_cell_holds_the_point_it_was_made_from(lat_deg: float, lon_deg: float, digits: int) -> None:
    cell = read_locator(locator_of(lat_deg, lon_deg, digits))
    hair = 2e-9
    assert cell.south_deg - hair <= lat_deg <= cell.north_deg + hair
    assert cell.west_deg - hair <= lon_deg <= cell.east_deg + hair or lon_deg >= 180 - hair


@settings(deadline=None)
@given(st.sampled_from(LENGTHS), st.data())
def test_the_centre_of_a_cell_leads_back_to_its_locator(digits: int, data: st.DataObject) -> None:
    pairs = [data.draw(st.tuples(*[st.sampled_from(letters)] * 2)) for _, letters in PAIRS[: digits // 2]]
    locator = "".join(one + other for one, other in pairs)
    cell = read_locator(f" {locator.swapcase()} ")
    assert cell.locator == locator
    assert locator_of(cell.lat_deg, cell.lon_deg, digits) == locator


@settings(deadline=None)
@given(st.text(max_size=12))
def test_any_text_is_a_locator_or_is_refused(text: str) -> None:
    if is_locator(text):
        assert read_locator(text).locator.upper() == text.upper()
    elif not is_locator(text.strip()):
        with pytest.raises(LocatorError):
            read_locator(text)


def test_neighbouring_cells_share_an_edge() -> None:
    for west, east in pairwise(["JN58sd", "JN58td", "JN58ud"]):
        assert read_locator(west).east_deg == read_locator(east).west_deg
