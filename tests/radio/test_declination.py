"""Magnetic declination against the official test values of the model."""

from __future__ import annotations

import tomllib
from datetime import UTC, datetime
from pathlib import Path

import pytest

from fieldtui.radio.declination import decimal_year, declination, declination_in_year, magnetic_bearing

ROWS = tomllib.loads((Path(__file__).parents[1] / "data" / "check_values_declination.toml").read_text())[
    "check"
]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["id"])
def test_published_values(row):
    """Each row names its source; WMM2025 test values are printed to 0.01 degrees."""
    given = row["inputs"]
    if row["case"] == "true_to_magnetic":
        got = {"magnetic_deg": magnetic_bearing(given["true_deg"], given["declination_deg"])}
    else:
        year, height = given["decimal_year"], given.get("height_km", 0.0)
        answer = declination_in_year(given["lat"], given["lon"], year, height)
        got = {"declination_deg": answer.declination_deg, "warn": not answer.in_date}
    for key, value in row["expected"].items():
        assert abs(got[key] - value) <= row["tolerance"].get(key, 0), row["source"]


def test_the_year_is_counted_in_utc():
    """The middle of a common year is half way; a leap year has 366 days."""
    assert decimal_year(datetime(2026, 7, 2, 12, tzinfo=UTC)) == pytest.approx(2026.5)
    assert decimal_year(datetime(2028, 1, 1, tzinfo=UTC)) == 2028.0


def test_a_date_beyond_the_model_is_said():
    """After its last year the answer is that of the last day, and says so."""
    late = declination(48.0, 11.0, datetime(2034, 1, 1, tzinfo=UTC))
    assert not late.in_date
    assert late.declination_deg == declination_in_year(48.0, 11.0, 2030.0).declination_deg


def test_near_the_pole_a_compass_is_no_help():
    """The north magnetic pole lies near 86 N in 2025: the horizontal field is nearly gone there."""
    assert not declination_in_year(86.0, 139.0, 2025.5).compass_reliable
    assert declination_in_year(45.0, -122.0, 2025.5).compass_reliable


@pytest.mark.parametrize(("lat", "lon"), [(91.0, 0.0), (0.0, 181.0), (float("nan"), 0.0)])
def test_no_place_is_refused(lat, lon):
    """The library would compute something."""
    with pytest.raises(ValueError, match="is not a place"):
        declination_in_year(lat, lon, 2026.0)
