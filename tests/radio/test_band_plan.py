"""Voluntary band plans: spot frequencies, segments, and the rider that they are no law."""

import pytest

from fieldtui.data.tables import load_toml
from fieldtui.radio.band_plan import usual_use

RIDER = " (voluntary; the local coordinator's plan wins)"


@pytest.mark.parametrize(
    ("hertz", "region", "use"),
    [
        (146_520_000, 2, "2 m FM calling, simplex"),  # NCVEC Technician pool 2026-2030, T2A02
        (145_500_000, 1, "2 m FM calling"),  # IARU Region 1 plan
        (144_390_000, 2, "2 m packet position reporting"),
        (144_800_000, 1, "2 m packet position reporting"),
        (144_300_000, 1, "2 m sideband calling"),
        (145_900_000, 2, "satellite"),
        (145_900_000, 1, "satellite only"),
        (146_940_000, 2, "repeater outputs"),  # ARRL 2 m plan
        (222_055_000, 2, "beacons"),  # the narrow segment inside the wide one
        (50_110_000, 2, "6 m sideband, long distance"),
        (443_000_000, 2, "repeaters (local choice)"),
    ],
)
def test_what_a_frequency_is_usually_used_for(hertz: int, region: int, use: str) -> None:
    assert usual_use(hertz, region) == use + RIDER


@pytest.mark.parametrize(("hertz", "region"), [(144_390_000, 1), (144_800_000, 2)])
def test_packet_frequencies_are_not_taken_across_regions(hertz: int, region: int) -> None:
    assert "position reporting" not in (usual_use(hertz, region) or "")


@pytest.mark.parametrize(
    ("hertz", "region"), [(146_390_000, 2), (146_520_000, 3), (146_520_000, 1), (7_100_000, 2)]
)
def test_no_plan_is_known(hertz: int, region: int) -> None:
    assert usual_use(hertz, region) is None


@pytest.mark.parametrize("name", ["north_america", "region_1"])
def test_every_entry_says_where_it_comes_from(name: str) -> None:
    plan = load_toml("band_plan.toml")[name]
    for entry in (*plan["spots"], *plan["plans"]):
        assert entry["source"]
        assert entry["status"]
    for band in plan["plans"]:
        assert all(low < high for low, high, _ in band["segments"])
