"""`fieldtui calc path`, `reach` and `strength`, as a user calls them."""

from __future__ import annotations

import pytest

from tests.support.tiles import write_striped_tile

PATH = {
    "distance_m", "bearing_deg", "back_bearing_deg", "compass", "declination_deg", "magnetic_bearing_deg",
    "horizon_m", "line_of_sight", "free_space_loss_db", "diffraction_loss_db", "received_dbm", "s_units",
}  # fmt: skip


@pytest.fixture(scope="module")
def tiles(tmp_path_factory):
    """Plain at 300 m with a ridge of 1200 m along the middle meridian of one tile."""
    folder = tmp_path_factory.mktemp("tiles")
    write_striped_tile(folder, "N44W122", lambda lon: 1200 if abs(lon + 121.5) < 0.02 else 300)
    return folder


def test_distance_and_bearings_are_those_of_the_published_case(call):
    """A case of the GeographicLib test set (C. F. F. Karney): 8394328.894657671 m at 327.5554312 degrees."""
    told = call(
        "calc", "path", "--json", "-21.97856,142.59065", "41.84138,98.56635", "--on", "2026-06-14"
    ).object
    assert set(told) >= PATH
    assert told["distance_m"] == pytest.approx(8394328.895, abs=0.001)
    assert told["bearing_deg"] == pytest.approx(327.5554312, abs=1e-5)
    assert told["compass"] == "NNW"
    magnetic = (told["bearing_deg"] - told["declination_deg"]) % 360
    assert told["magnetic_bearing_deg"] == pytest.approx(magnetic, abs=0.01)


def test_the_horizon_is_that_of_both_stations(call):
    """900 m and 2 m: 129.5 km for k = 4/3 (4.12 sqrt h)."""
    words = (
        "CN94hb",
        "CN85",
        "--mhz",
        "146.52",
        "--watts",
        "50",
        "--height-m",
        "900",
        "--height-there-m",
        "2",
    )
    told = call("calc", "path", *words, "--json").object
    assert told["horizon_m"] == pytest.approx(129_483, rel=0.001)
    assert told["line_of_sight"] is False
    assert any("sea level is assumed" in note for note in told["notes"])


def test_in_line_of_sight_the_sum_is_that_of_free_space(call):
    """50 W, 6 dBi, 1.5 dB, 146.52 MHz: the sum of a link with ITU-R P.525."""
    words = (
        "44,-121",
        "44,-120.5",
        "--mhz",
        "146.52",
        "--watts",
        "50",
        "--gain-dbi",
        "6",
        "--loss-db",
        "1.5",
    )
    told = call("calc", "path", *words, "--height-m", "3000", "--height-there-m", "3000", "--json").object
    assert told["line_of_sight"] is True
    assert told["diffraction_loss_db"] == 0
    assert told["received_dbm"] == pytest.approx(46.9897 + 6 - 1.5 - told["free_space_loss_db"], abs=0.001)
    assert told["s_units"] == 9


def test_a_ridge_between_is_reckoned_drawn_and_told(call, tiles, tmp_path):
    words = ("44.5,-121.8", "44.5,-121.2", "--mhz", "146", "--watts", "10", "--terrain", tiles)
    told = call("calc", "path", *words, "--json").object
    assert told["line_of_sight"] is False
    assert told["highest_ground_m"] == 1200
    assert told["height_m"] == pytest.approx(302, abs=0.1)
    assert told["tightest_at_m"] == pytest.approx(told["distance_m"] / 2, rel=0.08)
    assert told["diffraction_loss_db"] > 30
    shown = call("calc", "path", *words, "--ascii", "--svg", tmp_path / "ridge.svg")
    assert shown.code == 0
    assert "beyond line of sight" in shown.out
    assert any(line.lstrip(" 0123456789m").startswith("#") for line in shown.out.splitlines())
    assert (tmp_path / "ridge.svg").read_text().startswith("<svg")


def test_over_the_same_ridge_high_antennas_see_each_other(call, tiles):
    words = ("44.5,-121.8", "44.5,-121.2", "--mhz", "446", "--height-m", "1500", "--height-there-m", "1500")
    told = call("calc", "path", *words, "--terrain", tiles, "--json").object
    assert told["line_of_sight"] is True
    assert told["fresnel_zones_clear"] > 1
    assert told["diffraction_loss_db"] < 1


def test_a_height_under_the_ground_is_lifted_and_said(call, tiles):
    words = ("44.5,-121.8", "44.5,-121.7", "--height-m", "100", "--terrain", tiles)
    told = call("calc", "path", *words, "--json").object
    assert told["height_m"] == pytest.approx(302)
    assert any("under the ground here" in note for note in told["notes"])


def test_one_place_has_no_path_and_no_bearing(call):
    told = call("calc", "path", "CN94hb", "CN94hb", "--json").object
    assert told["distance_m"] == 0
    assert told["bearing_deg"] is None
    assert told["received_dbm"] is None
    assert "one place" in call("calc", "path", "CN94hb", "CN94hb").out


def test_too_far_for_vhf_is_said(call):
    told = call("calc", "path", "CN94", "JN58", "--mhz", "146", "--json").object
    assert told["s_units"] == 0
    assert any("too far" in note for note in told["notes"])
    assert "received  nothing" in call("calc", "path", "CN94", "JN58").out


def test_a_locator_leaves_its_cell_open(call):
    """At 44 N the diagonals of two cells of six characters come to 8 km."""
    told = call("calc", "path", "CN94hb", "CN94xx", "--json").object
    assert told["distance_uncertainty_m"] == pytest.approx(8_000, rel=0.05)
    assert call("calc", "path", "44,-121", "44,-120", "--json").object["distance_uncertainty_m"] == 0


def test_reach_gives_the_horizon_and_rings(call):
    told = call("calc", "reach", "CN94hb", "--mhz", "146.52", "--height-m", "900", "--json").object
    assert told["horizon_m"] == pytest.approx(129_483, rel=0.001)
    distances = [ring["distance_m"] for ring in told["rings"]]
    assert [ring["s_units"] for ring in told["rings"]] == list(range(9, 0, -1))
    assert distances == sorted(distances)


def test_reach_over_terrain_is_a_map_for_people_and_numbers_for_scripts(call, tiles, tmp_path):
    words = ("44.5,-121.7", "--terrain", tiles, "--range-km", "20", "--bearings", "16", "--distances", "10")
    told = call("calc", "reach", *words, "--json", "--jobs", "1").object
    coverage = told["coverage"]
    assert len(coverage["bearings"]) == 16
    assert coverage["distances_m"][-1] == 20_000
    east, west = (
        next(ray["received_dbm"] for ray in coverage["bearings"] if ray["bearing_deg"] == bearing)
        for bearing in (90, 270)
    )
    assert east[-1] != west[-1]
    shown = call("calc", "reach", *words, "--jobs", "1", "--svg", tmp_path / "map.svg")
    assert shown.code == 0
    assert "@ station" in shown.out
    assert (tmp_path / "map.svg").read_text().startswith("<svg")


def test_the_workers_of_a_real_process_do_their_work(run, tiles):
    words = ("44.5,-121.7", "--terrain", tiles, "--range-km", "10", "--bearings", "8", "--distances", "6")
    alone = run("calc", "reach", *words, "--json", "--jobs", "1").object
    together = run("calc", "reach", *words, "--json", "--jobs", "2").object
    assert together == alone


def test_strength_compares_the_reports_of_a_session(call, samples):
    journal = samples / "2026-06-14-1650-larkspur-ridge.jsonl"
    told = call("calc", "strength", journal, "--height-m", "1200", "--json").object
    assert told["used"] == sum(one["difference_s_units"] is not None for one in told["contacts"])
    assert told["used"] > 5
    assert told["suggests"]
    assert "rough" in told["caution"]
    shown = call("calc", "strength", journal, "--height-m", "1200")
    assert shown.code == 0
    assert told["contacts"][0]["call"] in shown.out


@pytest.mark.parametrize(
    ("words", "remedy"),
    [
        (("path", "95,0", "0,0"), "-90 to 90"),
        (("path", "CN94", "there"), "locator"),
        (("path", "CN94"), "B"),
        (("path", "CN94", "CN85", "--mhz", "0"), "between 1 and 300000 MHz"),
        (("path", "CN94", "CN85", "--mhz", "146,5"), "146.5"),
        (("path", "CN94", "CN85", "--watts", "0"), "above 0"),
        (("path", "CN94", "CN85", "--height-m", "-500"), "-430"),
        (("path", "CN94", "CN85", "--antenna-m", "-1"), "--height-m is the height above the sea"),
        (("path", "CN94", "CN85", "--loss-db", "-3"), "0 and 100 dB"),
        (("path", "CN94", "CN85", "--on", "14.6.2026"), "2026-06-14"),
        (("path", "CN94", "CN85", "--svg", "x.svg"), "--terrain DIR"),
        (("path", "CN94", "CN85", "--terrain", "nowhere"), "is not a folder"),
        (("reach", "CN94", "--svg", "x.svg"), "--terrain DIR"),
        (("reach", "CN94", "--watts", "-1"), "above 0"),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, tuple) else "",
)
def test_what_cannot_be_reckoned_is_one_line_with_the_remedy(call, words, remedy):
    told = call("calc", *words)
    assert told.code == 2
    assert remedy in told.complaint


def test_a_missing_tile_is_named_and_is_a_fault_of_the_data(call, tiles):
    for words in (("path", "44.5,-121.5", "45.5,-121.5"), ("reach", "44.9,-121.5", "--range-km", "20")):
        told = call("calc", *words, "--terrain", tiles)
        assert told.code == 1
        assert "N45W122.hgt" in told.complaint


def test_a_broken_tile_is_named(call, tmp_path):
    (tmp_path / "N44W122.hgt").write_bytes(b"short")
    told = call("calc", "path", "44.5,-121.8", "44.5,-121.2", "--terrain", tmp_path)
    assert told.code == 1
    assert "N44W122.hgt has 5 bytes" in told.complaint


def test_open_water_is_taken_only_when_it_is_said_and_is_told(call, tiles):
    words = ("44.5,-121.5", "44.5,-122.5", "--terrain", tiles, "--missing-is-sea")
    told = call("calc", "path", *words, "--json").object
    assert any("taken as sea" in note and "N44W123" in note for note in told["notes"])


@pytest.fixture
def at_home(call, tiles, tmp_path):
    """The same call, where the station file names the tiles."""
    station = tmp_path / "home/.config/fieldtui/station.toml"
    station.parent.mkdir(parents=True)
    station.write_text(f'[terrain]\nfolder = "{tiles}"\n')
    return call


def test_the_tiles_of_the_station_file_are_taken_and_named(at_home, tiles):
    words = ("calc", "path", "44.5,-121.8", "44.5,-121.2", "--mhz", "146", "--watts", "10")
    over, smooth = at_home(*words, "--json").object, at_home(*words, "--no-terrain", "--json").object
    assert (over["terrain"], smooth["terrain"]) == (str(tiles), None)
    assert over["ridge_loss_db"] > 10
    assert smooth["ridge_loss_db"] == 0
    assert f"note      terrain: tiles of the station file, {tiles} (--no-terrain" in at_home(*words).out


def test_the_reach_goes_over_the_tiles_of_the_station_file(at_home, tiles):
    words = (
        "calc",
        "reach",
        "44.5,-121.7",
        "--range-km",
        "10",
        "--bearings",
        "8",
        "--distances",
        "6",
        "--json",
    )
    told = at_home(*words).object
    assert told["terrain"] == str(tiles)
    assert len(told["coverage"]["bearings"]) == 8
    assert "coverage" not in at_home(*words, "--no-terrain").object


def test_where_the_station_file_has_no_tile_the_earth_is_smooth_and_that_is_told(at_home):
    """The folder was not named by this call, so it cannot stand in the way of an answer; a picture needs it."""
    for words in (("path", "44.5,-121.5", "45.5,-121.5"), ("reach", "44.9,-121.5", "--range-km", "20")):
        told = at_home("calc", *words, "--json").object
        assert told["terrain"] is None
        assert any("N45W122.hgt" in note for note in told["notes"])
        drawn = at_home("calc", *words, "--svg", "x.svg")
        assert drawn.code == 2
        assert "N45W122.hgt" in drawn.complaint


def test_a_journal_that_is_none_is_said(call):
    told = call("calc", "strength", "none.jsonl")
    assert told.code == 2
    assert "no such journal" in told.complaint
