"""Restricted places of 70 cm and 33 cm, against the definitions in the rule and an independent library."""

import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import given
from hypothesis import strategies as st

from fieldtui.data.tables import load_toml
from fieldtui.radio.locator import locator_of, read_locator
from fieldtui.radio.us.places import (
    Place,
    PlaceLimit,
    _line_a_lat_deg,
    in_50_watt_area,
    north_of_line_a,
    place_limit,
    point,
    white_sands_limit,
)

TABLE = load_toml("us_places.toml")
TOLERANCE_KM = 0.5
"""The line is drawn on a sphere, the library's on the ellipsoid."""


def circles() -> list[tuple[float, float, float]]:
    return [(row["lat_deg"], row["lon_deg"], row["radius_km"]) for row in TABLE["areas_70cm"]["circles"]]


@pytest.mark.parametrize(
    ("start", "end"),
    [((46.975, -123.816), (48.0, -120.0)), ((48.0, -95.0), (46.66, -92.2)), ((46.66, -92.2), (45.0, -85.0))],
)
def test_arcs_of_line_a_follow_the_great_circle(start: tuple[float, float], end: tuple[float, float]) -> None:
    """47 CFR 97.3(a)(30): great circle arcs, here points of the geodesic by geographiclib."""
    line = Geodesic.WGS84.InverseLine(*start, *end)
    for fraction in (0.1, 0.5, 0.9):
        point = line.Position(line.s13 * fraction)
        error_km = abs(_line_a_lat_deg(point["lon2"], TABLE["line_a"]["points"]) - point["lat2"]) * 111.2
        assert error_km < TOLERANCE_KM


@pytest.mark.parametrize(
    ("lon_deg", "lat_deg"),
    [(-110.0, 48.0), (-120.0, 48.0), (-95.01, 48.0), (-83.5, 41.0), (-84.99, 41.0), (-85.01, 45.0)],
)
def test_parallels_and_the_meridian_of_line_a(lon_deg: float, lat_deg: float) -> None:
    """47 CFR 97.3(a)(30): along 48 N from 120 W to 95 W, along 85 W from 45 N to 41 N, along 41 N to 82 W."""
    assert _line_a_lat_deg(lon_deg, TABLE["line_a"]["points"]) == pytest.approx(lat_deg, abs=0.01)


@pytest.mark.parametrize(
    ("place", "north"),
    [
        ((47.61, -122.33), True),  # Seattle
        ((48.6, -112.0), True),
        ((42.33, -83.05), True),  # Detroit
        ((42.89, -78.88), True),  # Buffalo
        ((41.88, -87.63), False),  # Chicago
        ((39.74, -104.99), False),  # Denver
        ((45.52, -122.68), False),  # Portland, Oregon
        ((42.36, -71.06), False),  # Boston
        ((46.88, -96.79), False),  # Fargo
        ((40.44, -79.99), False),  # Pittsburgh
        ((21.31, -157.86), False),  # Honolulu
        ((48.05, -110.0), None),  # within the margin
        ((46.97, -123.82), None),  # Aberdeen itself
        ((43.0, -85.0), None),  # on the meridian
        ((61.2, -149.9), None),  # Anchorage: beyond the end of the line
    ],
)
def test_sides_of_line_a(place: tuple[float, float], north: bool | None) -> None:
    """Towns by the definition of 47 CFR 97.3(a)(30); their coordinates are from memory, to a kilometre."""
    assert north_of_line_a(point(*place)) is north


@pytest.mark.parametrize("azimuth_deg", [0, 90, 180, 270])
@pytest.mark.parametrize(("lat_deg", "lon_deg", "radius_km"), circles())
def test_inside_each_circle(lat_deg: float, lon_deg: float, radius_km: float, azimuth_deg: float) -> None:
    """47 CFR 2.106(c)(270), radii laid off with geographiclib."""
    near = Geodesic.WGS84.Direct(lat_deg, lon_deg, azimuth_deg, 1000 * radius_km - 100)
    assert in_50_watt_area(point(near["lat2"], near["lon2"]))


@pytest.mark.parametrize(
    ("lat_deg", "lon_deg", "radius_km", "azimuth_deg"),
    [
        (64.28333, -149.16667, 160, 0),
        (48.71667, -97.9, 160, 90),
        (41.75, -70.53333, 160, 0),
        (39.13333, -121.43333, 240, 0),
    ],
)
def test_just_outside_a_circle(lat_deg: float, lon_deg: float, radius_km: float, azimuth_deg: float) -> None:
    """Directions in which no other area follows."""
    away = Geodesic.WGS84.Direct(lat_deg, lon_deg, azimuth_deg, 1000 * radius_km + 100)
    assert not in_50_watt_area(point(away["lat2"], away["lon2"]))


@pytest.mark.parametrize(
    ("place", "inside"),
    [
        ((33.45, -112.07), True),  # Phoenix
        ((36.0, -106.0), True),  # New Mexico
        ((31.76, -106.49), True),  # El Paso, west of 104 W
        ((34.05, -118.24), True),  # Los Angeles
        ((36.17, -115.14), True),  # Las Vegas, south of 37d10m
        ((27.95, -82.46), True),  # Tampa
        ((40.76, -111.89), False),  # Salt Lake City
        ((39.74, -104.99), False),  # Denver
        ((29.76, -95.37), False),  # Houston
        ((47.61, -122.33), False),  # Seattle
        ((41.88, -87.63), False),  # Chicago
        ((34.0, -102.0), False),  # Texas east of 104 W
    ],
)
def test_the_states_named(place: tuple[float, float], inside: bool) -> None:
    """47 CFR 2.106(c)(270)."""
    assert in_50_watt_area(point(*place)) is inside


def test_white_sands() -> None:
    """47 CFR 97.303(n): bounded by 31d41m and 34d30m N, 104d11m and 107d30m W; 50 W within 241 km."""
    assert white_sands_limit(point(32.9, -106.0)).allowed is False
    assert white_sands_limit(point(31 + 41 / 60 + 0.001, -105)).allowed is False
    assert white_sands_limit(point(34.51, -106.0)).watts == 50
    for distance_km, watts in ((240.9, 50), (241.1, None)):
        away = Geodesic.WGS84.Direct(34.5, -106.0, 0, 1000 * distance_km)
        assert white_sands_limit(point(away["lat2"], away["lon2"])).watts == watts


# Cells of locators: every part counts


def cell(locator: str) -> Place:
    found = read_locator(locator)
    return Place(found.south_deg, found.west_deg, found.north_deg, found.east_deg)


@pytest.mark.parametrize(
    ("locator", "north", "says"),
    [
        ("FN54", None, "longer locator"),  # most of it lies south, its north-west corner north
        ("FN54ab", False, ""),
        ("CN88", True, "north of Line A"),
        ("EN", None, "longer locator"),  # a field, with the meridian of 85 W just beyond its edge
        ("FM19", False, ""),
        ("DN", None, "longer locator"),
        ("EN82", True, "north of Line A"),
        ("BP51", None, "ends of Line A"),
        ("CR99", True, "north of Line A"),  # up to the pole
    ],
)
def test_a_cell_that_reaches_across_line_a_has_no_side(locator: str, north: bool | None, says: str) -> None:
    """47 CFR 97.3(a)(30): FN54 spans 44 to 45 N and 70 to 68 W, and the arc to Bangor passes through it."""
    assert north_of_line_a(cell(locator)) is north
    limit = place_limit(425_000_000, 425_016_000, cell(locator))
    assert limit.allowed is {True: False, False: True, None: None}[north]
    assert says in limit.note


def test_a_cell_that_reaches_into_a_50_watt_area_has_its_limit() -> None:
    """47 CFR 2.106(c)(270): EM52, 32 to 33 N and 90 to 88 W, comes within 322 km of 30d30m N 86d30m W."""
    assert not in_50_watt_area(point(32.5, -89.0))
    assert in_50_watt_area(point(32.1, -88.2))
    assert in_50_watt_area(cell("EM52"))
    assert not in_50_watt_area(cell("EM52am"))
    assert "part of it" in place_limit(446_000_000, 446_016_000, cell("EM52")).note


def test_a_cell_at_white_sands() -> None:
    """47 CFR 97.303(n): DM71 lies across the southern edge, 31d41m N; DM62ma inside, DM66 within 241 km in part."""
    assert white_sands_limit(cell("DM71")).allowed is None
    assert white_sands_limit(cell("DM62ma")).allowed is False
    assert white_sands_limit(point(36.9, -107.0)) == PlaceLimit()
    assert white_sands_limit(cell("DM66")).watts == 50


@given(st.floats(24, 50), st.floats(-126, -66), st.sampled_from([4, 6]), st.floats(0, 1), st.floats(0, 1))
def test_no_part_of_a_cell_is_told_more_than_is_true_there(
    lat_deg: float, lon_deg: float, digits: int, up: float, aside: float
) -> None:
    """A yes, and the power with it, holds wherever in the cell the station stands."""
    whole = cell(locator_of(lat_deg, lon_deg, digits))
    inside = point(
        whole.south_deg + up * (whole.north_deg - whole.south_deg),
        whole.west_deg + aside * (whole.east_deg - whole.west_deg),
    )
    for low in (425_000_000, 446_000_000, 906_500_000):
        told, there = (place_limit(low, low + 16_000, place) for place in (whole, inside))
        assert told.allowed in (None, there.allowed)
        if told.allowed:
            assert (told.watts or 1500) <= (there.watts or 1500)
