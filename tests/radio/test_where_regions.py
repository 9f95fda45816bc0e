"""ITU Regions by the lines of the Radio Regulations, at places whose Region is known, and what is offered there."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldtui.radio.channels.plan import default_plan
from fieldtui.radio.locator import locator_of
from fieldtui.radio.where.areas import Area, areas
from fieldtui.radio.where.law import Law, law_of
from fieldtui.radio.where.regions import region_by_lines, region_of_point

FACTS: dict[str, Any] = tomllib.loads(
    (Path(__file__).parent.parent / "data" / "itu_regions.toml").read_text()
)
POINTS = FACTS["points"]

EDGES_MHZ: dict[int, list[tuple[float, float]]] = {
    # Radio Regulations, article 5, as copied in 47 CFR 97.301 and told by the IARU of WRC-19; UHF from memory. 4 m is
    # in no Region: some countries of Region 1 have it by law of their own.
    1: [(50, 52), (70, 70.5), (144, 146), (430, 440), (1240, 1300), (2300, 2450)],
    2: [(50, 54), (144, 148), (220, 225), (430, 440), (902, 928), (1240, 1300), (2300, 2450)],
    3: [(50, 54), (144, 148), (430, 440), (1240, 1300), (2300, 2450)],
}
WIDER_MHZ: dict[str | None, tuple[float, float]] = {"us": (420, 450), "ca": (430, 450), "au": (430, 450)}
"""47 CFR 97.301; RBR-4 Issue 3; Radio Regulations, No. 5.270, from memory, and the class licence of 2023."""


@pytest.mark.parametrize("row", FACTS["lines"], ids=lambda row: f"{row['lat']} N")
def test_the_lines_stand_where_they_were_calculated_by_hand(row: dict[str, float]) -> None:
    """Just west of line A is Region 1, just west of B is 2, just west of C is 3; just east the next."""
    lat_deg = row["lat"]
    for line, (west, east) in {"A": (1, 3), "B": (2, 1), "C": (3, 2)}.items():
        lon_deg = row[line]
        assert region_by_lines(lat_deg, lon_deg - 0.02) == west, line
        assert region_by_lines(lat_deg, lon_deg + 0.02) == east, line


@pytest.mark.parametrize("place", POINTS, ids=lambda place: place["name"])
def test_the_region_of_a_known_place(place: dict[str, Any]) -> None:
    lat_deg, lon_deg = place["lat_deg"], place["lon_deg"]
    assert region_by_lines(lat_deg, lon_deg) == place["by_lines"]
    # Without a country the answer is right, or none; Iran alone reaches across line A.
    wanted = (place["region"], None) if place["country"] != "ir" else (1, None)
    assert region_of_point(lat_deg, lon_deg) in wanted


@pytest.mark.parametrize(
    ("place", "call"),
    [
        ("Van", "TA1QRA"), ("Yerevan", "EK1QRA"), ("Tashkent", "UK1QRA"), ("Ulaanbaatar", "JT1QRA"),
        ("Vladivostok", "UA0QRA"), ("Tehran", "EP2QRA"), ("Bushehr", "EP2QRA"), ("Ahvaz", "EP2QRA"),
        ("Serhetabat", "EZ1QRA"), ("Bering Island", "UA0QRA"), ("Tokyo", "JA1QRA"), ("Honolulu", "KH6QRA"),
        ("Guam", "KH2QRA"), ("Urumqi", "BG0QRA"), ("Wake", "KH9QRA"),
    ],
)  # fmt: skip
def test_where_lines_cannot_tell_the_call_does(place: str, call: str) -> None:
    known = next(each for each in POINTS if each["name"] == place)
    law = law_of(locator=locator_of(known["lat_deg"], known["lon_deg"], 6), call=call)
    assert law.region == known["region"]


def test_between_the_lines_that_part_europe_from_asia_nothing_is_guessed() -> None:
    law = law_of(locator=locator_of(43.83, 87.62, 6))
    assert law.region is None
    assert default_plan(law.region, None).channels == ()


@given(st.floats(-90, 90), st.floats(-180, 180), st.sampled_from([4, 6, 8]), st.sampled_from(
    [None, "M0QRN", "VK2QSO", "JA1QRV", "W7QRV", "VE7QRZ", "PY2QRA", "UA0QRA", "DL1QRA", "SP1QRA", "ZS1QRA", "VU2QRA"]
))  # fmt: skip
def test_nothing_is_offered_outside_the_bands_of_the_region(
    lat_deg: float, lon_deg: float, digits: int, call: str | None
) -> None:
    law = law_of(locator=locator_of(lat_deg, lon_deg, digits), call=call)
    code = law.area.code if law.area else None
    for channel in default_plan(law.region, code).channels:
        megahertz = channel.transmit_hertz / 1e6
        assert law.region is not None
        edges = EDGES_MHZ[law.region] + ([WIDER_MHZ[code]] if code in WIDER_MHZ else [])
        assert any(low <= megahertz <= high for low, high in edges), (law.where, channel.name)


@given(st.floats(-90, 90), st.floats(-180, 180))
def test_a_locator_gives_the_region_of_the_lines_or_none(lat_deg: float, lon_deg: float) -> None:
    law = law_of(locator=locator_of(lat_deg, lon_deg, 8))
    assert law.region in (region_by_lines(lat_deg, lon_deg), None, 1)
    assert law.region_from


@pytest.mark.parametrize("area", areas(), ids=lambda area: area.code)
def test_boxes_that_lie_within_a_country_lie_within_those_around_it(area: Area) -> None:
    for south, west, north, east in area.inside:
        assert south < north
        assert west < east
        assert any(s <= south and w <= west and north <= n and east <= e for s, w, n, e in area.around)


@pytest.mark.parametrize(
    ("given_facts", "region", "rule", "words"),
    [
        ({"locator": "IO91wm", "call": "M0QRN"}, 1, "uk", "region 1 and the rule of the United Kingdom assumed from IO91wm"),
        ({"locator": "IO91", "call": "W7QRV"}, 1, "uk", "region 1 and the rule of the United Kingdom assumed from IO91"),
        ({"locator": "QF56od"}, 3, "australia", "region 3 and the rule of Australia assumed from QF56od"),
        ({"call": "JA1QRV"}, 3, "japan", "region 3 and the rule of Japan assumed from the call JA1QRV"),
        ({"call": "VP2M/W1QRV"}, 2, "own", "region 2 and the general rule"),
        ({"call": "DL/W7QRV"}, 1, "germany", "region 1 and the rule of Germany assumed from the call DL/W7QRV"),
        ({"locator": "CN94hb", "rule": "us", "region": 2}, 2, "us", ""),
        ({"rule": "us", "region": 2}, 2, "us", ""),
        ({"locator": "CN94hb", "rule": "uk"}, 2, "uk", "region 2 assumed from CN94hb"),
        ({}, 2, "us", "region 2 and the rule of the United States assumed, since nothing tells where this is"),
        ({"call": "W7QRV/MM"}, None, "own", "region not known"),
        ({"locator": "OM37"}, None, "own", "region not known"),
    ],
)  # fmt: skip
def test_what_is_not_set_is_assumed_and_said(
    given_facts: dict[str, Any], region: int | None, rule: str, words: str
) -> None:
    law = law_of(**given_facts)
    assert (law.region, law.rule) == (region, rule)
    assert law.assumed.startswith(words)
    assert bool(law.assumed) is bool(words)
    assert not words or "assumed" in law.assumed or law.region is None


def test_what_is_set_against_the_place_is_doubted() -> None:
    law: Law = law_of(region=2, rule="us", locator="IO91wm", call="W7QRV")
    assert (law.region, law.rule) == (2, "us")
    assert any("IO91wm lies in region 1" in doubt for doubt in law.doubts)
    assert any("lies in the United Kingdom" in doubt for doubt in law.doubts)
