"""Distance, bearing and compass points against the published test set and an independent definition."""

import math
import tomllib
from pathlib import Path as File
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldtui.radio.geodesy import compass_point, contest_distance_m, path_between
from fieldtui.radio.locator import read_locator

ROWS = tomllib.loads(
    (File(__file__).parents[1] / "data" / "check_values_radio.toml").read_text(encoding="utf-8")
)["check"]

POLE_TO_POLE_M = 20003931.4586
"""Half a meridian ellipse: twice the quarter meridian of 10 001 965.7293 m (Moritz, Geodetic Reference System
1980, from memory; the flattening of WGS 84 differs in the eleventh place)."""


def rows(topic: str, case: str) -> list[Any]:
    """Return the check values of one kind, each named by its id; the sources stand in the file."""
    found = [row for row in ROWS if row["topic"] == topic and row["case"] == case]
    assert found
    return [pytest.param(row["inputs"], row["expected"], row["tolerance"], id=row["id"]) for row in found]


def turn_between(one_deg: float, other_deg: float) -> float:
    return abs((one_deg - other_deg + 180) % 360 - 180)


@pytest.mark.parametrize(("inputs", "expected", "tolerance"), rows("geodesic", "inverse"))
def test_published_paths(
    inputs: dict[str, float], expected: dict[str, Any], tolerance: dict[str, float]
) -> None:
    path = path_between(inputs["lat1"], inputs["lon1"], inputs["lat2"], inputs["lon2"])
    assert path.distance_m == pytest.approx(expected["distance_m"], abs=tolerance["distance_m"])
    if "bearing_deg" in expected:
        assert path.bearing_deg is not None
        assert turn_between(path.bearing_deg, expected["bearing_deg"]) <= tolerance["bearing_deg"]
    else:
        assert expected["bearing"] == "undefined"
        assert (path.bearing_deg, path.back_bearing_deg) == (None, None)


@pytest.mark.parametrize(("inputs", "expected", "tolerance"), rows("geodesic", "contest_sphere"))
def test_contest_kilometres(
    inputs: dict[str, str], expected: dict[str, float], tolerance: dict[str, float]
) -> None:
    one, other = read_locator(inputs["locator1"]), read_locator(inputs["locator2"])
    metres = contest_distance_m(one.lat_deg, one.lon_deg, other.lat_deg, other.lon_deg)
    assert metres / 1000 == pytest.approx(expected["km"], abs=tolerance["km"])


@pytest.mark.parametrize(("inputs", "expected", "tolerance"), rows("compass", "name16"))
def test_compass_points(
    inputs: dict[str, float], expected: dict[str, str], tolerance: dict[str, float]
) -> None:
    assert compass_point(inputs["bearing_deg"]) == expected["name"]


def test_all_sixteen_points_in_order() -> None:
    names = [compass_point(step * 22.5) for step in range(16)]
    assert names == [
        "N",
        "NNE",
        "NE",
        "ENE",
        "E",
        "ESE",
        "SE",
        "SSE",
        "S",
        "SSW",
        "SW",
        "WSW",
        "W",
        "WNW",
        "NW",
        "NNW",
    ]


def test_opposite_places_are_half_a_meridian_apart() -> None:
    """Between opposite places the shortest way runs over a pole."""
    for lat_deg, lon_deg in ((0.0, 0.0), (35.0, -110.0), (90.0, 0.0)):
        path = path_between(lat_deg, lon_deg, -lat_deg, lon_deg + 180)
        assert path.distance_m == pytest.approx(POLE_TO_POLE_M, abs=0.001)


@pytest.mark.parametrize(
    ("lat1", "lon1", "lat2", "lon2"), [(90, 0, 90, 77), (10, 180, 10, -180), (0, -170, 0, 190)]
)
def test_one_place_under_two_names_has_no_bearing(lat1: float, lon1: float, lat2: float, lon2: float) -> None:
    assert path_between(lat1, lon1, lat2, lon2).bearing_deg is None


def test_back_bearing_is_the_bearing_of_the_way_back() -> None:
    there, back = path_between(40, -105, 52, 13), path_between(52, 13, 40, -105)
    assert there.back_bearing_deg == pytest.approx(back.bearing_deg)
    assert back.back_bearing_deg == pytest.approx(there.bearing_deg)


@pytest.mark.parametrize(
    "place", [(90.5, 0.0), (-91.0, 0.0), (math.nan, 0.0), (0.0, math.nan), (0.0, math.inf), (math.inf, 0.0)]
)
def test_numbers_that_are_no_place_are_refused(place: tuple[float, float]) -> None:
    for measure in (path_between, contest_distance_m):
        with pytest.raises(ValueError, match="itude must"):
            measure(0, 0, *place)
        with pytest.raises(ValueError, match="itude must"):
            measure(*place, 0, 0)


@settings(deadline=None)
@given(st.floats(-90, 90), st.floats(-180, 180), st.floats(-90, 90), st.floats(-180, 180))
def test_bearings_stay_within_one_turn_and_the_way_back_is_as_long(
    lat1: float, lon1: float, lat2: float, lon2: float
) -> None:
    there, back = path_between(lat1, lon1, lat2, lon2), path_between(lat2, lon2, lat1, lon1)
    assert there.distance_m == pytest.approx(back.distance_m, abs=1e-6)
    assert there.distance_m <= POLE_TO_POLE_M + 0.001
    for bearing_deg in (there.bearing_deg, there.back_bearing_deg):
        assert bearing_deg is None or 0 <= bearing_deg < 360
