"""Heights out of elevation tiles: published places in the file, edges, voids, and files that are wrong."""

import math
import os
import tomllib
import zipfile
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldtui.planning.profile import fill_voids, profile_between
from fieldtui.planning.tiles import VOID, TileError, TileFolder, tile_name
from fieldtui.radio.geodesy import path_between
from tests.support.tiles import write_striped_tile

ROWS = tomllib.loads(
    (Path(__file__).parents[1] / "data" / "check_values_path.toml").read_text(encoding="utf-8")
)["check"]


def rows(case: str):
    found = [row for row in ROWS if row["topic"] == "hgt" and row["case"] == case]
    assert found
    return [pytest.param(row["inputs"], row["expected"], id=row["id"]) for row in found]


def sparse_tile(folder: Path, name: str, samples: int, offset: int, raw: bytes) -> None:
    """A tile of zeros with one number set; the file has holes, so that it costs no disk."""
    with (folder / f"{name}.hgt").open("wb") as file:
        file.truncate(2 * samples * samples)
        file.seek(offset)
        file.write(raw)


@pytest.mark.parametrize(("inputs", "expected"), rows("linear_index"))
def test_a_published_sample_is_where_it_should_be(tmp_path, inputs, expected):
    """The published height of tile N38W105 stands at its published index, and is read at that place."""
    samples = inputs["samples"]
    sparse_tile(tmp_path, "N38W105", samples, expected["byte_offset"], (3772).to_bytes(2, "big"))
    lat_deg = 39 - inputs["row_from_north"] / (samples - 1)
    lon_deg = -105 + inputs["col_from_west"] / (samples - 1)
    assert TileFolder(tmp_path).height_m(lat_deg, lon_deg) == pytest.approx(3772, abs=0.01)


@pytest.mark.parametrize(("inputs", "expected"), rows("nearest_sample"))
def test_rows_run_south_and_columns_east(tmp_path, inputs, expected):
    samples = inputs["samples"]
    sparse_tile(tmp_path, inputs["tile"], samples, expected["byte_offset"], (1000).to_bytes(2, "big"))
    assert TileFolder(tmp_path).height_m(inputs["lat"], inputs["lon"]) == pytest.approx(1000, abs=0.5)


@pytest.mark.parametrize(("inputs", "expected"), rows("decode_sample"))
def test_numbers_are_big_endian_with_sign(tmp_path, inputs, expected):
    sparse_tile(tmp_path, "N34W119", 1201, 0, bytes(inputs["bytes"]))
    height = TileFolder(tmp_path).height_m(35, -119)
    assert height is None if expected["value"] == "void" else height == expected["value"]


def test_between_samples_the_height_is_between(tmp_path):
    write_striped_tile(tmp_path, "N44W122", lambda lon: round((lon + 122) * 1200))
    tiles = TileFolder(tmp_path)
    for lon_deg in (-121.9, -121.12345, -121.5):
        assert tiles.height_m(44.3, lon_deg) == pytest.approx((lon_deg + 122) * 1200, abs=0.01)


@pytest.mark.parametrize(
    ("place", "name"),
    [
        ((-0.5, -0.5), "S01W001"),
        ((-33.2, 179.7), "S34E179"),
        ((-33.2, 180.0), "S34W180"),
        ((-33.2, -180.0), "S34W180"),
        ((-33.2, 180.3), "S34W180"),
        ((0.0, 0.0), "N00E000"),
        ((90.0, 10.0), "N89E010"),
        ((-90.0, 10.0), "S90E010"),
    ],
)
def test_a_place_has_one_tile(place, name):
    assert tile_name(*place) == name


@pytest.mark.parametrize(
    "place",
    [(44.0, -121.5), (45.0, -121.5), (44.5, -122.0), (44.5, -121.0), (45.0, -121.0), (44.0, -122.0)],
)
def test_the_edges_of_a_tile_belong_to_it_when_the_neighbour_is_not_there(tmp_path, place):
    write_striped_tile(tmp_path, "N44W122", lambda _lon: 512)
    assert TileFolder(tmp_path).height_m(*place) == 512


def test_the_meridian_of_180_is_the_east_edge_of_the_last_tile(tmp_path):
    write_striped_tile(tmp_path, "S17E179", lambda _lon: 33)
    for lon_deg in (179.5, 180.0, -180.0):
        assert TileFolder(tmp_path).height_m(-16.5, lon_deg) == 33


def test_a_profile_crosses_180_degrees(tmp_path):
    write_striped_tile(tmp_path, "S17E179", lambda _lon: 100)
    write_striped_tile(tmp_path, "S17W180", lambda lon: 100 if lon == -180 else 200)
    here, there = (-16.5, 179.9), (-16.5, -179.9)
    length_m = path_between(*here, *there).distance_m
    profile = profile_between(TileFolder(tmp_path), here, there, length_m)
    assert profile.heights_m[0] == pytest.approx(100)
    assert profile.heights_m[-1] == pytest.approx(200)
    assert profile.distances_m[-1] == pytest.approx(length_m)


def test_every_missing_tile_is_named_and_nothing_is_taken_as_sea_in_silence(tmp_path):
    write_striped_tile(tmp_path, "N44W122", lambda _lon: 10)
    tiles = TileFolder(tmp_path)
    with pytest.raises(TileError, match=r"has no N44W121\.hgt, N44W120\.hgt: put them there"):
        profile_between(tiles, (44.5, -121.5), (44.5, -119.5), 158_000)
    sea = TileFolder(tmp_path, missing_is_sea=True)
    profile = profile_between(sea, (44.5, -121.5), (44.5, -120.5), 79_000)
    assert profile.heights_m[-1] == 0
    assert profile.sea_tiles == ("N44W121",)


def test_a_tile_of_a_wrong_size_is_named_with_the_right_sizes(tmp_path):
    (tmp_path / "N44W122.hgt").write_bytes(b"\0" * 1000)
    with pytest.raises(TileError, match=r"N44W122\.hgt has 1000 bytes.*2884802 .*25934402"):
        TileFolder(tmp_path).height_m(44.5, -121.5)


def test_an_empty_tile_is_refused_too(tmp_path):
    (tmp_path / "N44W122.hgt").touch()
    with pytest.raises(TileError, match="0 bytes"):
        TileFolder(tmp_path).height_m(44.5, -121.5)


def test_a_folder_that_is_none_is_said(tmp_path):
    with pytest.raises(TileError, match="give the folder"):
        TileFolder(tmp_path / "nowhere")


@pytest.mark.parametrize("name", ["N44W122.hgt.zip", "n44w122.SRTMGL3.hgt.zip"])
def test_a_tile_may_stay_in_its_archive(tmp_path, name):
    plain = write_striped_tile(tmp_path, "N44W122", lambda _lon: 77)
    with zipfile.ZipFile(tmp_path / name, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.write(plain, "N44W122.hgt")
    plain.unlink()
    assert TileFolder(tmp_path).height_m(44.5, -121.5) == 77


@pytest.mark.parametrize("kind", ["no archive", "nothing in it", "another size"])
def test_an_archive_that_is_wrong_is_said(tmp_path, kind):
    path = tmp_path / "N44W122.hgt.zip"
    if kind == "no archive":
        path.write_bytes(b"not a zip")
    else:
        with zipfile.ZipFile(path, "w") as archive:
            archive.writestr("readme.txt" if kind == "nothing in it" else "N44W122.hgt", b"\0" * 10)
    with pytest.raises(TileError, match="fetch it again"):
        TileFolder(tmp_path).height_m(44.5, -121.5)


def test_a_void_is_no_height_and_the_profile_says_how_much_is_missing(tmp_path):
    write_striped_tile(tmp_path, "N44W122", lambda lon: VOID if -121.52 < lon < -121.48 else 400)
    tiles = TileFolder(tmp_path)
    assert tiles.height_m(44.5, -121.5) is None
    assert tiles.height_m(44.5, -121.6) == 400
    profile = profile_between(tiles, (44.5, -121.7), (44.5, -121.3), 31_800)
    assert set(map(round, profile.heights_m)) == {400}
    assert profile.void_points > 0
    # 0.04 degrees of longitude at 44.5 N
    assert profile.longest_void_m == pytest.approx(0.04 * 111_320 * math.cos(math.radians(44.5)), rel=0.1)


def test_only_voids_are_no_ground(tmp_path):
    write_striped_tile(tmp_path, "N44W122", lambda _lon: VOID)
    with pytest.raises(TileError, match="only voids"):
        profile_between(TileFolder(tmp_path), (44.5, -121.7), (44.5, -121.3), 31_800)


@given(st.lists(st.none() | st.integers(-400, 8000), min_size=1, max_size=50))
def test_voids_are_bridged_between_their_neighbours(heights):
    if all(height is None for height in heights):
        with pytest.raises(TileError):
            fill_voids(heights)
        return
    filled, count, longest = fill_voids(heights)
    known = [height for height in heights if height is not None]
    assert count == len(heights) - len(known)
    assert 0 <= longest <= count
    assert min(known) <= min(filled)
    assert max(filled) <= max(known)
    assert all(was is None or was == now for was, now in zip(heights, filled, strict=True))


def test_a_path_round_the_world_is_not_asked_of_the_tiles(tmp_path):
    with pytest.raises(TileError, match="leave --terrain out"):
        profile_between(TileFolder(tmp_path), (0, 0), (0, 90), 10_000_000)


@pytest.mark.parametrize("name", ["N44W122.hgt", "N44W122.hgt.zip"])
@pytest.mark.parametrize("kind", ["a pipe", "a device"])
def test_what_is_no_file_is_refused_and_not_waited_for(tmp_path, name, kind):
    """A pipe that nobody writes to once held the command for ever; a device filled the memory."""
    if kind == "a pipe":
        os.mkfifo(tmp_path / name)
    else:
        (tmp_path / name).symlink_to("/dev/zero")
    with pytest.raises(TileError, match="is not a file"):
        TileFolder(tmp_path).height_m(44.5, -121.5)


def test_an_archive_that_would_ask_for_gigabytes_is_refused_before_it_does(tmp_path):
    """Packed with LZMA: its dictionary may be as large as it says."""
    with zipfile.ZipFile(tmp_path / "N44W122.hgt.zip", "w", zipfile.ZIP_LZMA) as archive:
        archive.writestr("N44W122.hgt", bytes(2 * 1201 * 1201))
    with pytest.raises(TileError, match="packed in an unusual way"):
        TileFolder(tmp_path).height_m(44.5, -121.5)
