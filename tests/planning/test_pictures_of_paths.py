"""Pictures of a path and of an area, over ground made up so that one knows what they must show."""

import xml.etree.ElementTree as ET

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldtui.outputs.pictures.coverage import coverage_svg
from fieldtui.outputs.pictures.profile import profile_svg
from fieldtui.planning.coverage import Area, reckon_coverage
from fieldtui.planning.draw_coverage import directions, draw_coverage
from fieldtui.planning.draw_profile import draw_profile
from fieldtui.planning.path import End
from fieldtui.planning.profile import TerrainProfile
from fieldtui.radio.path.array_sums import fastest_sums
from fieldtui.radio.path.link import Radios
from fieldtui.radio.path.sums import PLAIN
from tests.support.tiles import write_striped_tile

HERTZ = 146e6
STYLES = ("braille", "blocks", "ascii")
SVG = "{http://www.w3.org/2000/svg}"


def ridge(at: float = 0.5, top_m: float = 900.0) -> TerrainProfile:
    """20 km of plain at 100 m with one ridge, a fiftieth of the way wide."""
    steps = 400
    heights = [100.0 if abs(number / steps - at) > 0.01 else top_m for number in range(steps + 1)]
    return TerrainProfile(tuple(50.0 * number for number in range(steps + 1)), tuple(heights))


@pytest.mark.parametrize("style", STYLES)
def test_a_ridge_stands_in_the_middle_and_blocks_the_line(style):
    lines = draw_profile(ridge(), 110, 110, HERTZ, width=78, height=18, style=style)
    assert len(lines) == 18
    pictured = lines[:-3]
    # Only the ridge reaches the top, half way along.
    top = pictured[0].split(" m", 1)[1].strip()
    assert top
    assert len(top) <= 4
    middle = (len(pictured[0].rstrip()) - 8 - len(top) / 2) / 70
    assert middle == pytest.approx(0.5, abs=0.03)
    assert any("x" in line for line in pictured)
    # Both antennas are low, at the ends.
    assert [line[8] for line in pictured].index("A") > 12
    assert any(line.endswith("B") for line in pictured[12:])


@pytest.mark.parametrize("style", STYLES)
def test_over_a_low_ridge_the_line_is_clear(style):
    lines = draw_profile(ridge(top_m=150), 400, 500, HERTZ, width=78, height=18, style=style)
    assert not any("x" in line for line in lines[:-1])


def test_a_narrow_ridge_is_not_lost_between_the_columns():
    heights = [100.0] * 4001
    heights[1234] = 800.0
    needle = TerrainProfile(tuple(10.0 * number for number in range(4001)), tuple(heights))
    lines = draw_profile(needle, 110, 110, HERTZ, width=40, height=12, style="ascii")
    assert "#" in lines[0]


def test_the_earth_bulges_over_flat_ground():
    flat = TerrainProfile(tuple(500.0 * number for number in range(201)), (10.0,) * 201)
    lines = draw_profile(flat, 20, 20, HERTZ, style="ascii")
    # 100 km: the bulge is 147 m, far above antennas at 20 m.
    assert any("x" in line for line in lines[:-1])


@settings(max_examples=40)
@given(
    st.lists(st.floats(-430, 8800), min_size=3, max_size=60),
    st.floats(500, 500_000),
    st.integers(0, 200),
    st.integers(0, 60),
    st.sampled_from(STYLES),
)
def test_any_ground_fits_any_size(heights, length_m, width, height, style):
    steps = len(heights) - 1
    profile = TerrainProfile(tuple(length_m * number / steps for number in range(steps + 1)), tuple(heights))
    lines = draw_profile(
        profile, heights[0] + 2, heights[-1] + 2, HERTZ, width=width, height=height, style=style
    )
    assert len(lines) == max(7, height)
    assert all(len(line) <= max(30, width) for line in lines)
    assert style != "ascii" or all(line.isascii() for line in lines)


def test_the_svg_shows_ground_line_and_what_is_blocked():
    blocked = ET.fromstring(profile_svg(ridge(), 110, 110, HERTZ, names=("<A&", "B")).write())
    title = blocked.find(f"{SVG}title")
    assert title is not None
    assert title.text == "<A& to B, 20.0 km, blocked by the ground"
    kinds = [node.get("class") for node in blocked.iter()]
    assert {"ground", "zone", "line", "blocked"} <= set(kinds)
    ground = next(node for node in blocked.iter() if node.get("class") == "ground")
    points = [tuple(map(float, pair.split(","))) for pair in ground.get("points", "").split()]
    highest = min(points, key=lambda point: point[1])
    width = max(x for x, _ in points) - min(x for x, _ in points)
    assert (highest[0] - min(x for x, _ in points)) / width == pytest.approx(0.5, abs=0.02)
    clear = profile_svg(ridge(top_m=150), 400, 500, HERTZ).write()
    assert 'class="blocked"' not in clear


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """Plain at 300 m with a wall of 900 m along one meridian, 16 km east of the station."""
    folder = tmp_path_factory.mktemp("tiles")
    write_striped_tile(folder, "N44W122", lambda lon: 900 if abs(lon + 121.3) < 0.01 else 300)
    return folder


def area(folder, **more):
    here = End(44.5, -121.5, antenna_m=200)
    return Area(
        folder, here, End(0, 0, antenna_m=10), Radios(HERTZ, 0.01), 30_000, bearings=16, distances=20, **more
    )


def test_behind_a_wall_less_arrives_than_as_far_the_other_way(folder):
    coverage = reckon_coverage(area(folder))
    east, west = coverage.dbm_at(90, 24_000), coverage.dbm_at(270, 24_000)
    assert east is not None
    assert west is not None
    assert east < west - 6
    assert coverage.dbm_at(0, 31_600) is None
    assert coverage.antenna_m == pytest.approx(500)


def test_several_processes_and_both_kinds_of_loops_give_the_same_numbers(folder):
    heard = []
    plain = reckon_coverage(area(folder), sums=PLAIN, told=lambda done, of: heard.append((done, of)))
    fast = reckon_coverage(area(folder), sums=fastest_sums())
    pooled = reckon_coverage(area(folder), jobs=2)
    assert reckon_coverage(area(folder), jobs=2, sums=PLAIN).rays == plain.rays
    assert heard == [(number, 16) for number in range(1, 17)]
    for other in (fast, pooled):
        assert other.mean_ground_m == pytest.approx(plain.mean_ground_m)
        for one, two in zip(plain.rays, other.rays, strict=True):
            assert one.bearing_deg == two.bearing_deg
            assert one.dbm == pytest.approx(two.dbm, abs=1e-6)


def test_the_map_has_north_up_and_the_station_in_the_middle(folder):
    coverage = reckon_coverage(area(folder))
    lines = draw_coverage(coverage, width=60, height=32)
    assert lines[0].strip() == "N"
    assert all(len(line) <= 60 for line in lines[:-1])
    middle = [line for line in lines[1:-1] if "@" in line]
    assert middle
    row = middle[0].ljust(60)
    # East of the station, behind the wall, it is weaker everywhere than as far to the west.
    east, west = row[31:].rstrip(), row[:30][::-1].rstrip()
    wall = round(16 / 30 * 30) + 2
    assert len(east[wall:]) > 5
    assert max(east[wall:].replace(".", "0")) < min(west[wall:].replace(".", "0"))
    assert len(directions(coverage)) == 8


def test_the_map_as_svg_is_well_formed_and_has_a_shape_for_every_bearing(folder):
    svg = ET.fromstring(coverage_svg(reckon_coverage(area(folder)), "<here>").write())
    assert len(svg.findall(f"{SVG}path")) >= 16


@pytest.mark.parametrize("wrong", [{"range_m": 10.0}, {"range_m": 1e9}, {"bearings": 1}, {"distances": 1000}])
def test_an_area_that_cannot_be_drawn_is_refused(folder, wrong):
    fields = {"range_m": 30_000.0, "bearings": 16, "distances": 20} | wrong
    with pytest.raises(ValueError, match=r"km, not at|bearings, and"):
        Area(folder, End(44.5, -121.5), End(0, 0), Radios(HERTZ, 10), **fields)
