"""Paths on a flat map, and the box around them."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import geojson
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldtui.outputs.records.great_circle import STEP_M, great_circle
from fieldtui.outputs.records.map_bounds import MapBounds
from fieldtui.radio.geodesy import path_between
from tests.outputs.making_records import exported, logged, written
from tests.session.making_lines import opened

PLACES = st.tuples(st.floats(-85, 85), st.floats(-180, 180))


def test_a_path_over_the_antimeridian_is_cut_there() -> None:
    """RFC 7946, 3.1.9: 170,0 to -170,0 ends at 180 and goes on at -180."""
    west, east = great_circle(0, 170, 0, -170)
    assert (west[0], west[-1], east[0]) == ((170, 0), (180, 0), (-180, 0))
    assert east[-1] == pytest.approx((-170, 0))
    back_east, back_west = great_circle(0, -170, 0, 170)
    assert (back_east[-1][0], back_west[0][0]) == (-180, 180)


@settings(max_examples=30)
@given(PLACES, PLACES)
def test_every_position_lies_on_the_shortest_way(
    here: tuple[float, float], there: tuple[float, float]
) -> None:
    parts = great_circle(*here, *there)
    whole = path_between(*here, *there).distance_m
    for part in parts:
        assert len(part) >= 2
        for lon, lat in part:
            assert -180 <= lon <= 180
            detour = path_between(*here, lat, lon).distance_m + path_between(lat, lon, *there).distance_m
            assert detour == pytest.approx(whole, abs=0.01)
    points = [point for part in parts for point in part]
    for (lon, lat), (next_lon, next_lat) in pairwise(points):
        assert path_between(lat, lon, next_lat, next_lon).distance_m <= STEP_M * 1.0001
    assert bool(parts) == (whole > 0)


def test_a_path_from_the_very_edge_stays_on_the_map() -> None:
    """It begins a last digit short of 180 degrees, which is no crossing."""
    (part,) = great_circle(-23.246920417760784, 180.0, 1.0, 37.0625)
    assert all(-180 <= lon <= 180 for lon, _ in part)
    assert part[1][1] == pytest.approx(part[0][1], abs=0.5)


def test_one_place_is_no_path() -> None:
    assert great_circle(44.0, -121.0, 44.0, -121.0) == []


def test_the_box_of_the_fiji_example() -> None:
    """RFC 7946, 5.2: 177 E to 178 W is five degrees wide, not 355."""
    bounds = MapBounds()
    bounds.add(177.0, -20.0)
    bounds.add(-178.0, -16.0)
    assert bounds.box() == (177.0, -20.0, -178.0, -16.0)


def test_a_box_around_nothing_a_point_and_the_whole_globe() -> None:
    bounds = MapBounds()
    assert bounds.box() is None
    bounds.add(-121.4, 44.0)
    assert bounds.box() == (-121.4, 44.0, -121.4, 44.0)
    bounds.add_line([[-180.0, 10.0], [180.0, 10.0]])
    assert bounds.box() == (-180.0, 10.0, 180.0, 44.0)


@given(st.lists(st.tuples(st.floats(-180, 180), st.floats(-90, 90)), min_size=1, max_size=8))
def test_the_box_holds_every_point_and_no_wider_gap(points: list[tuple[float, float]]) -> None:
    bounds = MapBounds()
    for lon, lat in points:
        bounds.add(lon, lat)
    box = bounds.box()
    assert box is not None
    west, south, east, north = box
    assert (south, north) == (min(lat for _, lat in points), max(lat for _, lat in points))
    assert all(west <= lon <= east if west <= east else lon >= west or lon <= east for lon, _ in points)
    width = (east - west) % 360 if (west, east) != (-180.0, 180.0) else 360
    lons = sorted(lon for lon, _ in points)
    gaps = [b - a for a, b in zip(lons, [*lons[1:], lons[0] + 360], strict=True)]
    assert width <= 360 - max(gaps) + 1.0


def test_a_session_at_the_edge_of_the_map(tmp_path: Any) -> None:
    """From Fiji's side of the line to the other: the path is two lines, the box is narrow."""
    path = written(tmp_path / "h.jsonl", opened(), logged(locator="AH04ab", own_locator="RH94ab"))
    whole = geojson.loads(exported(path, "geojson")[0].decode())
    (line,) = [each for each in whole["features"] if each["properties"]["kind"] == "path"]
    assert line["geometry"]["type"] == "MultiLineString"
    west, _, east, _ = whole["bbox"]
    assert west > 170
    assert east < -170
    assert all(math.isfinite(value) for value in whole["bbox"])
