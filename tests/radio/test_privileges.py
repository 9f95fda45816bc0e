"""The legal check for the United States, against worked cases of the rule text and further edges of it."""

import tomllib
from pathlib import Path as File
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldtui.radio.frequency import read_megahertz
from fieldtui.radio.locator import read_locator
from fieldtui.radio.modes import mode_named
from fieldtui.radio.us.privileges import Verdict, check_allowed, span_of

VECTORS = tomllib.loads(
    (File(__file__).parents[1] / "data" / "us_privilege_vectors.toml").read_text(encoding="utf-8")
)
ANSWERS = {"ok": True, "no": False, "unknown": None}
LICENCES = ("novice", "technician", "general", "advanced", "extra")

PHOENIX = {"lat_deg": 33.45, "lon_deg": -112.07}
DENVER = {"lat_deg": 39.74, "lon_deg": -104.99}
SEATTLE = {"lat_deg": 47.61, "lon_deg": -122.33}
HONOLULU = {"lat_deg": 21.31, "lon_deg": -157.86}
SAN_JUAN = {"lat_deg": 18.47, "lon_deg": -66.11}
ALAMOGORDO = {"lat_deg": 32.9, "lon_deg": -105.96}
ALBUQUERQUE = {"lat_deg": 35.08, "lon_deg": -106.65}


def check(megahertz: str, mode: str, licence: str, **more: Any) -> Verdict:
    return check_allowed(read_megahertz(megahertz), mode, licence=licence, **more)


@pytest.mark.parametrize(
    "row",
    [pytest.param(row, id=f"{row['licence']}-{row['megahertz']}-{row['mode']}") for row in VECTORS["case"]],
)
def test_worked_cases(row: dict[str, Any]) -> None:
    more = {key: row[key] for key in ("width_hertz", "region", "lat_deg", "lon_deg") if key in row}
    verdict = check(row["megahertz"], row["mode"], row["licence"], **more)
    assert verdict.allowed is ANSWERS[row["expect"]]
    assert row.get("says", "") in verdict.why
    if "max_watts" in row:
        assert verdict.max_watts == row["max_watts"]
    assert "47 CFR 97.301" in verdict.source


@pytest.mark.parametrize(
    ("megahertz", "mode", "licence"),
    [
        ("144.108", "FM", "extra"),  # touches 144.100 from above
        ("147.992", "FM", "technician"),
        ("3.603", "LSB", "extra"),
        ("14.347", "USB", "extra"),
        ("14.347", "SSB", "extra"),  # upper sideband above 10 MHz
        ("7.128", "SSB", "extra"),  # lower sideband below
        ("50.125", "USB", "technician"),
        ("446", "FM", "technician"),
        ("434", "ATV", "technician"),  # 6 MHz of television fit on 70 cm
        ("28.075", "CW", "novice"),
        ("29.6", "FM", "general"),
        ("1294.5", "FM", "technician"),
        ("5.3585", "CW", "general"),
    ],
)
def test_emissions_that_just_fit(megahertz: str, mode: str, licence: str) -> None:
    """47 CFR 97.301 and 97.305, with the width that 97.307(b) asks to be counted."""
    assert check(megahertz, mode, licence).allowed is True


@pytest.mark.parametrize(
    ("megahertz", "mode", "licence", "says"),
    [
        ("144.107", "FM", "extra", "passes the edge at 144.100: FM is not allowed beyond it"),
        ("144", "CW", "extra", "passes the edge at 144.000"),
        ("28.6", "FM", "extra", "modulation index of 1"),
        ("144.2", "DATA", "extra", "wider than the 20 kHz"),
        ("14.07", "DATA", "extra", "wider than the 2.8 kHz"),
        ("5.357", "USB", "general", "wider than the 2.8 kHz"),
        ("5.3305", "USB", "technician", "takes general or higher"),
        ("5.3305", "LSB", "extra", "upper sideband only"),
        ("5.332", "FM", "extra", "up to 2.8 kHz wide"),
        ("5.35", "USB", "extra", "passes the edge at 5.3515"),
        ("145.5", "ATV", "extra", "passes the edge"),
        ("155", "FM", "extra", "outside every amateur band"),
        ("70.2", "FM", "extra", "outside every amateur band"),
        ("28.6", "USB", "technician", "takes general or higher"),
    ],
)
def test_emissions_that_do_not_fit(megahertz: str, mode: str, licence: str, says: str) -> None:
    """47 CFR 97.301, 97.303(h), 97.305 and 97.307(f)."""
    wide = {"DATA": 25_000, "USB": 3_000}.get(mode)
    verdict = check(megahertz, mode, licence, width_hertz=wide)
    assert verdict.allowed is False
    assert says in verdict.why
    assert (verdict.max_watts, verdict.usual_use) == (None, None)


@pytest.mark.parametrize("dial", ["5.3305", "5.3465", "5.3715", "5.4035"])
def test_the_four_carriers_of_60_metres(dial: str) -> None:
    """47 CFR 97.303(h)(3): carriers 1.5 kHz below the centres; 97.313(i): 100 W ERP."""
    for mode in ("USB", "SSB", "DATA", "RTTY", "FT8"):
        verdict = check(dial, mode, "general")
        assert (verdict.allowed, verdict.max_watts) == (True, 100.0)
    assert "ERP" in check(dial, "USB", "general").why
    assert check(dial, "CW", "general").allowed is False


@pytest.mark.parametrize("centre", ["5.332", "5.348", "5.373", "5.405"])
def test_cw_stands_on_the_centres_of_60_metres(centre: str) -> None:
    """47 CFR 97.303(h)(3)."""
    assert check(centre, "CW", "extra").allowed is True
    assert check(centre, "USB", "extra").allowed is False


def test_a_sideband_without_a_width_is_taken_as_the_60_metre_rule_wants_it() -> None:
    """47 CFR 97.307(f) holds 60 m to 2.8 kHz: the upper edge of the segment is 5.3665."""
    assert check("5.3637", "USB", "general").allowed is True
    assert check("5.3638", "USB", "general").allowed is False


@pytest.mark.parametrize(
    ("megahertz", "mode", "licence", "region", "watts"),
    [
        ("10.12", "CW", "extra", 2, 200),
        ("3.55", "CW", "novice", 2, 200),
        ("7.06", "CW", "general", 1, 200),
        ("7.06", "CW", "general", 2, 1500),
        ("21.1", "CW", "technician", 2, 200),
        ("21.1", "CW", "general", 2, 1500),
        ("223.5", "FM", "technician", 2, 1500),
        ("1280", "FM", "novice", 2, 5),
        ("146.52", "FM", "technician", 2, 1500),
    ],
)
def test_power(megahertz: str, mode: str, licence: str, region: int, watts: float) -> None:
    """47 CFR 97.313."""
    verdict = check(megahertz, mode, licence, region=region)
    assert (verdict.allowed, verdict.max_watts) == (True, watts)
    assert "no more than needed" in verdict.why


@pytest.mark.parametrize(
    ("megahertz", "licence", "region", "allowed"),
    [
        ("147.3", "technician", 1, False),
        ("145.5", "technician", 1, True),
        ("147.3", "technician", 3, True),
        ("50.5", "technician", 1, False),
        ("446", "technician", 1, False),
        ("433.5", "technician", 1, True),
        ("223.5", "technician", 3, False),
        ("906.5", "technician", 3, False),
        ("1294.5", "technician", 1, True),
        ("1296.1", "novice", 1, False),
    ],
)
def test_other_regions(megahertz: str, licence: str, region: int, allowed: bool) -> None:
    """47 CFR 97.301, columns of ITU Regions 1 and 3."""
    assert check(megahertz, "FM", licence, region=region).allowed is allowed


def test_phone_on_40_metres_hangs_on_the_place() -> None:
    """47 CFR 97.307(f)(11): 7.075-7.100 only west of 130 W or south of 20 N, or outside Region 2."""
    assert check("7.08", "LSB", "extra", **DENVER).allowed is False
    assert check("7.08", "LSB", "extra", **HONOLULU).allowed is True
    assert check("7.08", "LSB", "extra", **SAN_JUAN).allowed is True
    assert check("7.08", "LSB", "extra", region=3).allowed is True
    assert check("7.08", "LSB", "novice", **HONOLULU).allowed is False


def test_420_to_430_hangs_on_line_a() -> None:
    """47 CFR 97.303(m)."""
    assert check("425", "FM", "technician", **DENVER).allowed is True
    north = check("425", "FM", "technician", **SEATTLE)
    assert (north.allowed, "north of Line A" in north.why) == (False, True)
    assert check("446", "FM", "technician", **SEATTLE).allowed is True


def test_of_a_locator_every_part_of_its_cell_counts() -> None:
    """47 CFR 97.303(m), 2.106(c)(270), 97.307(f)(11): parts of each cell have different answers."""
    line_a, areas, mainland = (read_locator(text) for text in ("FN54", "EM52", "CL40"))
    assert check("425", "FM", "general", lat_deg=44.2, lon_deg=-69.2).allowed is True
    assert check("425", "FM", "general", lat_deg=44.95, lon_deg=-69.8).allowed is False
    assert check("425", "FM", "general", cell=line_a).allowed is None
    assert check("446", "FM", "general", lat_deg=areas.lat_deg, lon_deg=areas.lon_deg).max_watts == 1500
    assert check("446", "FM", "general", cell=areas).max_watts == 50
    assert "part of it" in check("446", "FM", "general", cell=areas).note
    # West of 130 W, where the cell ends; the field around it goes on to 120 W. The last one ends at 20 N.
    assert check("7.08", "LSB", "extra", cell=mainland).allowed is True
    assert check("7.08", "LSB", "extra", cell=read_locator("CL")).allowed is False
    assert check("7.08", "LSB", "extra", cell=read_locator("FK79")).allowed is True


def test_the_measure_of_the_power_is_told() -> None:
    """47 CFR 97.313(i): ERP on 60 m, channels and segment; PEP elsewhere."""
    assert check("5.357", "USB", "general").measure == "ERP"
    assert check("5.3305", "USB", "general").measure == "ERP"
    assert check("14.2", "USB", "general").measure == "PEP"


def test_70_cm_without_a_place_warns_of_the_50_watt_areas() -> None:
    """47 CFR 97.313(f)."""
    verdict = check("446", "FM", "technician")
    assert "50 W PEP in some areas: give the place" in verdict.why
    assert check("446", "FM", "technician", **DENVER).max_watts == 1500
    assert check("446", "FM", "technician", **PHOENIX).max_watts == 50


def test_33_cm_near_white_sands() -> None:
    """47 CFR 97.303(n) and 97.313(g)."""
    assert check("906.5", "FM", "technician", **ALAMOGORDO).allowed is False
    assert check("906.5", "FM", "technician", **ALBUQUERQUE).max_watts == 50
    assert check("906.5", "FM", "technician", **SEATTLE).max_watts == 1500
    assert "White Sands" in check("906.5", "FM", "technician").why


CLOSED_IN_COLORADO_AND_WYOMING = [(902.4, 902.6), (904.3, 904.7), (925.3, 925.7), (927.3, 927.7)]
"""MHz, 47 CFR 97.303(n)(3), from a reading of the rule as of 2026-09-30 at second hand; the box from memory."""


@pytest.mark.parametrize(("low", "high"), CLOSED_IN_COLORADO_AND_WYOMING)
def test_four_segments_of_33_cm_are_closed_in_colorado_and_wyoming(low: float, high: float) -> None:
    middle = f"{(low + high) / 2:.3f}"
    refused = check(middle, "FM", "technician", **DENVER)
    assert refused.allowed is False
    assert "Colorado" in refused.why
    assert "from memory" in refused.why
    assert check(f"{low - 0.001:.3f}", "FM", "technician", **DENVER).allowed is False
    assert check(f"{high + 0.010:.3f}", "FM", "technician", **DENVER).max_watts == 1500
    assert check(middle, "FM", "technician", **SEATTLE).max_watts == 1500
    assert "Colorado" in check(middle, "FM", "technician").why


def test_a_cell_that_reaches_into_colorado_gets_no_answer() -> None:
    """DN70 lies wholly in the box; the field DM reaches from 30 to 40 N."""
    assert check("927.5", "FM", "technician", cell=read_locator("DN70")).allowed is False
    across = check("927.5", "FM", "technician", cell=read_locator("DM"))
    assert across.allowed is None
    assert "longer locator" in across.why
    assert "Colorado" not in check("926.5", "FM", "technician", cell=read_locator("DM")).why


def test_219_is_for_forwarding_only() -> None:
    """47 CFR 97.303(e): data between fixed stations after notices, so nobody can say yes in the field."""
    verdict = check("219.5", "DATA", "extra")
    assert (verdict.allowed, verdict.max_watts) == (None, None)
    assert "30 days" in verdict.why


@pytest.mark.parametrize("megahertz", ["0.475", "2304.1", "10368.1"])
def test_bands_outside_the_table_are_not_answered(megahertz: str) -> None:
    assert check(megahertz, "CW", "extra").allowed is None


def test_the_segment_is_told_as_far_as_the_region_has_it() -> None:
    assert check("146.52", "FM", "extra").segment == "144.100-148.000: CW, MCW, phone, image, RTTY, data"
    assert (
        check("145.5", "FM", "extra", region=1).segment
        == "144.100-146.000: CW, MCW, phone, image, RTTY, data"
    )
    assert check("223", "FM", "extra", region=1).segment is None
    assert "5.332" in (check("5.3305", "USB", "extra").segment or "")


def test_the_voluntary_plan_follows_the_legal_answer() -> None:
    assert check("146.52", "FM", "technician").usual_use == (
        "2 m FM calling, simplex (voluntary; the local coordinator's plan wins)"
    )


def test_tones_count_from_the_dial_to_the_end_of_the_audio() -> None:
    """Common practice, no source: the dial shows the carrier, tones may stand up to 3 kHz above it."""
    assert check("14.148", "FT8", "extra").allowed is False
    assert check("14.147", "FT8", "extra").allowed is True
    assert check("14.074", "FT8", "extra").allowed is True


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"licence": "foundation"}, "not a licence class: use one of"),
        ({"mode": "warble"}, "not a known mode"),
        ({"region": 4}, "Regions 1, 2 and 3"),
        ({"hertz": 0}, "above zero"),
        ({"width_hertz": -1}, "above zero"),
        ({"lat_deg": 40.0}, "both latitude and longitude"),
        ({"lat_deg": 91.0, "lon_deg": 0.0}, "90 degrees"),
        ({"lat_deg": float("nan"), "lon_deg": 0.0}, "90 degrees"),
    ],
)
def test_arguments_without_a_meaning_are_refused(change: dict[str, Any], says: str) -> None:
    call: dict[str, Any] = {"hertz": 146_520_000, "mode": "FM", "licence": "extra", **change}
    with pytest.raises(ValueError, match=says):
        check_allowed(call.pop("hertz"), call.pop("mode"), **call)


@settings(deadline=None)
@given(
    st.sampled_from(["1.8", "3.5", "7", "14", "21", "28", "50", "144", "222", "420", "902", "1240"]),
    st.integers(0, 1_000_000),
    st.sampled_from(["FM", "USB", "LSB", "CW", "DATA", "AM"]),
)
def test_a_higher_class_loses_nothing(start: str, above: int, mode: str) -> None:
    """47 CFR 97.301: from technician up each class holds all that the one before holds."""
    answers = [
        check_allowed(read_megahertz(start) + above, mode, licence=licence).allowed
        for licence in LICENCES[1:]
    ]
    assert answers == sorted(answers, key=lambda answer: answer is True)


@settings(deadline=None)
@given(
    st.integers(1_000_000, 10**9), st.sampled_from(["FM", "USB", "LSB", "CW", "SSB"]), st.integers(1, 20_000)
)
def test_a_span_is_as_wide_as_the_emission_and_holds_the_dial(hertz: int, mode: str, width: int) -> None:
    low, high = span_of(hertz, mode_named(mode), width)
    assert low <= hertz <= high
    assert width <= high - low <= width + 1
