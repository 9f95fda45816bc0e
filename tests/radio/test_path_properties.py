"""What holds for every path."""

import math
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldtui.radio.geodesy import cell_radius_m, path_between
from fieldtui.radio.path.array_sums import fastest_sums
from fieldtui.radio.path.course import Course
from fieldtui.radio.path.earth import MEDIAN_RADIUS_M
from fieldtui.radio.path.free_space import free_space_loss_db
from fieldtui.radio.path.round_earth import Setting, round_earth_loss_db
from fieldtui.radio.path.sums import PLAIN
from fieldtui.radio.path.terrain_loss import terrain_loss
from fieldtui.radio.waypoints import points_between, points_out

HERTZ = st.sampled_from([50e6, 146e6, 440e6, 1296e6])
DISTANCES = st.floats(100, 1_000_000)
HEIGHTS = st.floats(0, 3000)


@st.composite
def courses(draw: st.DrawFn) -> Course:
    grounds = draw(st.lists(st.integers(-400, 4000), min_size=2, max_size=40))
    length_km = draw(st.floats(0.5, 400))
    masts = draw(st.tuples(st.floats(0.5, 100), st.floats(0.5, 100)))
    steps = len(grounds) - 1
    return Course(
        [length_km * number / steps for number in range(len(grounds))],
        [float(height) for height in grounds],
        grounds[0] + masts[0],
        grounds[-1] + masts[1],
    )


def turned(course: Course) -> Course:
    length = course.length_km
    return Course(
        [length - distance for distance in reversed(course.distances_km)],
        [*reversed(course.heights_m)],
        course.antenna2_m,
        course.antenna1_m,
    )


@given(courses(), HERTZ)
def test_a_path_loses_as_much_both_ways(course: Course, hertz: float) -> None:
    setting = Setting(hertz, MEDIAN_RADIUS_M)
    there, back = terrain_loss(course, setting), terrain_loss(turned(course), setting)
    assert there.loss_db == pytest.approx(back.loss_db, abs=1e-6)
    assert there.loss_db >= 0
    assert there.ridge.clear == back.ridge.clear


@given(courses(), HERTZ)
def test_with_numpy_the_numbers_are_the_same(course: Course, hertz: float) -> None:
    sums = fastest_sums()
    assert sums is not PLAIN
    setting = Setting(hertz, MEDIAN_RADIUS_M)
    plain, fast = terrain_loss(course, setting), terrain_loss(course, setting, sums)
    assert fast.loss_db == pytest.approx(plain.loss_db, abs=1e-6)
    assert fast.height1_m == pytest.approx(plain.height1_m, abs=1e-6)


@given(DISTANCES, DISTANCES, HERTZ)
def test_free_space_loses_more_farther_away(one_m: float, other_m: float, hertz: float) -> None:
    near_m, far_m = sorted((one_m, other_m))
    assert free_space_loss_db(hertz, near_m) <= free_space_loss_db(hertz, far_m)


@given(DISTANCES, HEIGHTS, HEIGHTS, HERTZ)
def test_the_round_earth_is_the_same_both_ways_and_never_a_gain(
    metres: float, height1_m: float, height2_m: float, hertz: float
) -> None:
    setting = Setting(hertz, MEDIAN_RADIUS_M)
    loss = round_earth_loss_db(metres, height1_m, height2_m, setting)
    assert math.isfinite(loss)
    assert loss >= 0
    assert loss == pytest.approx(round_earth_loss_db(metres, height2_m, height1_m, setting), abs=1e-6)


PLACES = st.tuples(st.floats(-89, 89), st.floats(-180, 180))


@given(PLACES, PLACES, st.integers(2, 60))
def test_points_between_two_places_run_from_one_to_the_other(
    here: tuple[float, float], there: tuple[float, float], count: int
) -> None:
    length_m = path_between(*here, *there).distance_m
    # Almost opposite places have no single shortest way.
    if not 1 < length_m < 15_000_000:
        return
    if length_m > 300_000:
        there = points_out(*here, path_between(*here, *there).bearing_deg or 0.0, 300_000, 2)[-1]
        length_m = path_between(*here, *there).distance_m
    points = points_between(*here, *there, count)
    assert len(points) == count
    for number, point in enumerate(points):
        assert path_between(*here, *point).distance_m == pytest.approx(length_m * number / (count - 1), abs=1)
        rest_m = length_m * (count - 1 - number) / (count - 1)
        assert path_between(*point, *there).distance_m == pytest.approx(rest_m, abs=1)


def test_a_locators_cell_leaves_as_much_open_as_published():
    """102 km for four characters and 4.2 km for six at 40 N: half the diagonal, from the definition on WGS 84."""
    assert cell_radius_m(39.5, -76, 40.5, -74) == pytest.approx(102_000, rel=0.01)
    assert cell_radius_m(40 - 1 / 48, -75, 40 + 1 / 48, -75 + 1 / 12) == pytest.approx(4_200, rel=0.02)


def test_without_numpy_the_loops_are_plain(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "numpy", None)
    assert fastest_sums() is PLAIN
