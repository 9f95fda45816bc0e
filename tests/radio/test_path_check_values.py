"""Paths and diffraction against published values and independent programs; each row names its source."""

import csv
import math
import tomllib
from pathlib import Path as File
from typing import Any

import pytest

from fieldtui.planning.tiles import SAMPLES_OF_SIZE, tile_name
from fieldtui.radio.path.bullington import bullington
from fieldtui.radio.path.course import Course
from fieldtui.radio.path.earth import (
    EARTH_RADIUS_M,
    MEDIAN_RADIUS_M,
    bulge_m,
    horizon_m,
    radius_from_gradient_m,
)
from fieldtui.radio.path.free_space import free_space_loss_db, fresnel_radius_m, wavelength_m
from fieldtui.radio.path.knife_edge import edge_nu, knife_edge_db
from fieldtui.radio.path.link import Radios, slant_m
from fieldtui.radio.path.round_earth import Setting
from fieldtui.radio.path.terrain_loss import terrain_loss

DATA = File(__file__).parents[1] / "data"
ROWS = tomllib.loads((DATA / "check_values_path.toml").read_text(encoding="utf-8"))["check"]
METRES_A_MILE, METRES_A_FOOT = 1609.344, 0.3048


def rows(topic: str, *cases: str) -> list[Any]:
    found = [row for row in ROWS if row["topic"] == topic and row["case"] in cases]
    assert found
    return [pytest.param(row["inputs"], row["expected"], row["tolerance"], id=row["id"]) for row in found]


def course(given: dict[str, Any]) -> Course:
    """A published profile with its antennas; clutter stands between the ends only."""
    with (DATA / "profiles" / f"{given['profile']}.csv").open(encoding="utf-8") as file:
        points = [(float(row["distance_km"]), float(row["height_m"])) for row in csv.DictReader(file)]
    clutter = given.get("clutter_m_between_ends", 0.0)
    heights = [height + clutter for _, height in points]
    heights[0], heights[-1] = points[0][1], points[-1][1]
    return Course(
        [distance for distance, _ in points],
        heights,
        heights[0] + given["ant1_agl_m"],
        heights[-1] + given["ant2_agl_m"],
    )


def near(got: float, key: str, expected: dict[str, float], tolerance: dict[str, float]) -> bool:
    if key in tolerance:
        return abs(got - expected[key]) <= tolerance[key]
    return abs(got - expected[key]) <= tolerance["rel"] * abs(expected[key])


def test_no_row_is_left_out():
    """Every topic of the file has a test here or, for the samples of tiles, in the tests of tiles."""
    assert {(row["topic"], row["case"]) for row in ROWS} == {
        ("radio_horizon", "single"), ("radio_horizon", "pair"), ("radio_horizon", "geometric_pair"),
        ("radio_horizon", "feet_miles"), ("radio_horizon", "effective_radius"), ("radio_horizon", "earth_bulge"),
        ("fresnel", "radius1"), ("free_space", "loss"), ("free_space", "slant"), ("knife_edge", "j_nu"),
        ("knife_edge", "geometry"), ("bullington", "loss"), ("bullington", "itm_cross_check"),
        ("terrain_loss", "median"), ("link_budget", "received"), ("hgt", "tile_name"), ("hgt", "file_size"),
        ("hgt", "linear_index"), ("hgt", "nearest_sample"), ("hgt", "decode_sample"),
    }  # fmt: skip


@pytest.mark.parametrize(("given", "expected", "tolerance"), rows("radio_horizon", "single"))
def test_horizon(given, expected, tolerance):
    assert near(horizon_m(given["height_m"], given["k"] * EARTH_RADIUS_M) / 1000, "km", expected, tolerance)


@pytest.mark.parametrize(("given", "expected", "tolerance"), rows("radio_horizon", "pair", "geometric_pair"))
def test_two_horizons_add(given, expected, tolerance):
    radius_m = given["k"] * EARTH_RADIUS_M
    both_m = horizon_m(given["height1_m"], radius_m) + horizon_m(given["height2_m"], radius_m)
    assert near(both_m / 1000, "km", expected, tolerance)
    if "mi" in expected:
        assert near(both_m / METRES_A_MILE, "mi", expected, tolerance)


@pytest.mark.parametrize(("given", "expected", "tolerance"), rows("radio_horizon", "feet_miles"))
def test_the_handbook_rule_in_feet_and_miles(given, expected, tolerance):
    assert near(horizon_m(given["height_ft"] * METRES_A_FOOT) / METRES_A_MILE, "mi", expected, tolerance)


@pytest.mark.parametrize(("given", "expected", "tolerance"), rows("radio_horizon", "effective_radius"))
def test_effective_radius(given, expected, tolerance):
    assert near(radius_from_gradient_m(given["delta_n"]) / 1000, "ae_km", expected, tolerance)


@pytest.mark.parametrize(("given", "expected", "tolerance"), rows("radio_horizon", "earth_bulge"))
def test_bulge_of_the_earth(given, expected, tolerance):
    first_m = 1000 * given["from_end1_km"]
    got = bulge_m(first_m, 1000 * given["path_km"] - first_m, given["k"] * EARTH_RADIUS_M)
    assert near(got, "m", expected, tolerance)


@pytest.mark.parametrize(("given", "expected", "tolerance"), rows("fresnel", "radius1"))
def test_fresnel_radius(given, expected, tolerance):
    got = fresnel_radius_m(1e6 * given["freq_mhz"], 1000 * given["d1_km"], 1000 * given["d2_km"])
    assert near(got, "m", expected, tolerance)


@pytest.mark.parametrize(("given", "expected", "tolerance"), rows("free_space", "loss", "slant"))
def test_free_space(given, expected, tolerance):
    metres = slant_m(1000 * given["dist_km"], given.get("h1_m", 0), given.get("h2_m", 0))
    assert near(free_space_loss_db(1e6 * given["freq_mhz"], metres), "db", expected, tolerance)


@pytest.mark.parametrize(("given", "expected", "tolerance"), rows("knife_edge", "j_nu"))
def test_knife_edge(given, expected, tolerance):
    got = knife_edge_db(given["nu"])
    assert near(got, "approx_db", expected, tolerance)
    if -0.7 < given["nu"] < 10:
        # The approximation is published as good to an eighth of a decibel against the Fresnel integrals.
        assert got == pytest.approx(expected["exact_db"], abs=0.125)


@pytest.mark.parametrize(("given", "expected", "tolerance"), rows("knife_edge", "geometry"))
def test_edge_from_its_place(given, expected, tolerance):
    nu = edge_nu(
        given["height_above_line_m"],
        1000 * given["d1_km"],
        1000 * given["d2_km"],
        wavelength_m(1e6 * given["freq_mhz"]),
    )
    assert near(nu, "nu", expected, tolerance)
    assert near(knife_edge_db(nu), "approx_db", expected, tolerance)


@pytest.mark.parametrize(("given", "expected", "tolerance"), rows("bullington", "loss"))
def test_hills_as_one_ridge(given, expected, tolerance):
    ridge = bullington(course(given), 1e6 * given["freq_mhz"], 1000 * given["ae_km"])
    assert near(ridge.loss_db, "db", expected, tolerance)


@pytest.mark.parametrize(("given", "expected", "tolerance"), rows("terrain_loss", "median"))
def test_hills_and_round_earth(given, expected, tolerance):
    loss = terrain_loss(course(given), Setting(1e6 * given["freq_mhz"], 1000 * given["ae_km"]))
    assert near(loss.loss_db, "db", expected, tolerance)
    if "bullington_db" in expected:
        assert near(loss.ridge.loss_db, "bullington_db", expected, tolerance)


@pytest.mark.parametrize(("given", "expected", "tolerance"), rows("bullington", "itm_cross_check"))
def test_another_model_is_not_far_off(given, expected, tolerance):
    path = course(given)
    hertz = 1e6 * given["freq_mhz"]
    loss = terrain_loss(path, Setting(hertz, MEDIAN_RADIUS_M))
    total = free_space_loss_db(hertz, 1000 * path.length_km) + loss.loss_db
    assert near(total, "total_db", expected, tolerance)


@pytest.mark.parametrize(("given", "expected", "tolerance"), rows("link_budget", "received"))
def test_the_sum_of_a_link(given, expected, tolerance):
    radios = Radios(
        1e6 * given["freq_mhz"],
        given["tx_w"],
        given["tx_gain_dbi"],
        given["rx_gain_dbi"],
        given["tx_loss_db"] + given["rx_loss_db"],
    )
    free_db = free_space_loss_db(radios.hertz, 1000 * given["dist_km"])
    assert near(radios.received_dbm(free_db + given["extra_loss_db"]), "dbm", expected, tolerance)


@pytest.mark.parametrize(("given", "expected", "tolerance"), rows("hgt", "tile_name"))
def test_tile_names(given, expected, tolerance):
    assert tile_name(given["lat"], given["lon"]) == expected["name"]


@pytest.mark.parametrize(("given", "expected", "tolerance"), rows("hgt", "file_size"))
def test_tile_sizes(given, expected, tolerance):
    assert SAMPLES_OF_SIZE[expected["bytes"]] == given["samples"]


def test_what_is_no_number_of_the_world_is_refused():
    for call in (
        lambda: horizon_m(-1),
        lambda: horizon_m(math.nan),
        lambda: wavelength_m(0),
        lambda: free_space_loss_db(146e6, 0),
        lambda: fresnel_radius_m(146e6, -1, 5),
        lambda: radius_from_gradient_m(157),
        lambda: Course([0.0], [1.0], 1, 1),
        lambda: Course([0.0, 0.0], [1.0, 1.0], 1, 1),
        lambda: Radios(0, 10),
        lambda: Radios(146e6, 0),
        lambda: Radios(146e6, 10, gain_dbi=math.nan),
        lambda: Radios(146e6, 10, loss_db=-1),
    ):
        with pytest.raises(ValueError, match=r"\w"):
            call()
