"""Bands and calling frequencies of countries, against published plans and laws."""

from __future__ import annotations

import pytest

from fieldtui.radio.channels.plan import default_plan
from fieldtui.radio.frequency import read_megahertz
from fieldtui.radio.where.areas import Area, area_coded, areas
from fieldtui.radio.where.bands import band_problem, bands_at

CALLING = [
    # RSGB sheets 018 and 021 (2018), UBA copy of the Region 1 plans
    (1, "gb", "50.110 50.150 51.510 144.050 144.300 145.500 432.050 432.200 433.500 70.450"),
    (1, "fr", "50.150 144.300 145.500 433.500"),
    (1, "de", "144.300 145.500 433.500"),
    # MIC Notice 432 of 2014, as quoted
    (3, "jp", "51.0 51.3 145.0 145.3 433.0 433.3 1295.0 2427.0"),
    # from memory
    (3, "au", "52.525 144.1 146.5 432.1 439.0 1294.0"),
    # NZART band plan 70 cm
    (3, "nz", "432.1 432.2"),
    # RAC plan as data; question pool and pages that quote the ARRL plan
    (2, "ca", "144.1 144.2 146.52 446.0"),
    (2, "us", "146.52 446.0 432.1 144.2"),
    # Anatel Ato 926/2024
    (2, "br", "146.52"),
    (3, "in", "145.5"),
]

NEVER = [
    (1, "gb", "146.520 223.5 446.0 52.525 144.390 222.1"),
    (1, "pl", "51.510"),  # F3E is not allowed on 6 m: notes after the table of 2013-12-27
    (1, "de", "50.150 51.510"),  # fixed stations only: AFuV Anlage 1
    (1, "fr", "70.200 70.450"),  # no 4 m
    (3, "jp", "146.520 146.500 446.0 439.0 144.390"),
    (3, "au", "146.520 446.0 145.500 144.390"),
    (3, "in", "433.0 439.0 146.5 144.1"),  # 144-146 and 434-438, from memory
    (1, None, "146.520 446.0 70.450 52.525"),
    (3, None, "146.520 446.0 223.5 144.390"),
    (2, None, "144.390 446.0"),
]


def offered(region: int, area: str | None) -> set[int]:
    return {channel.receive_hertz for channel in default_plan(region, area).channels}


@pytest.mark.parametrize(("region", "area", "wanted"), CALLING)
def test_the_calling_frequencies_of_a_country_are_offered_there(region: int, area: str, wanted: str) -> None:
    assert {read_megahertz(word) for word in wanted.split()} <= offered(region, area)


@pytest.mark.parametrize(("region", "area", "refused"), NEVER)
def test_what_belongs_elsewhere_is_not_offered(region: int, area: str | None, refused: str) -> None:
    assert not {read_megahertz(word) for word in refused.split()} & offered(region, area)


@pytest.mark.parametrize("area", areas(), ids=lambda area: area.code)
def test_plans_are_sound_and_say_where_each_value_is_from(area: Area) -> None:
    plan = default_plan(area.regions[0], area.code)
    assert plan.problems == ()
    assert plan.channels
    assert len({channel.receive_hertz for channel in plan.channels}) == len(plan.channels)
    assert [channel.number for channel in plan.channels] == list(range(1, len(plan.channels) + 1))
    for channel in plan.channels:
        assert channel.source
        assert channel.status in ("verified", "secondary", "from memory")


@pytest.mark.parametrize(
    ("megahertz", "mode", "region", "area", "words"),
    [
        ("147.500", "FM", 1, "gb", "outside the bands of the United Kingdom: 144-146"),
        ("146.500", "FM", 1, "gb", "depends: by variation"),
        ("147.000", "FM", 1, None, "outside the bands of region 1: 144-146"),
        ("440.500", "FM", 1, None, "outside the bands of region 1: 430-440"),
        ("440.500", "FM", 3, "au", ""),
        ("147.000", "FM", 3, "jp", "outside the bands of Japan: 144-146"),  # MIC Notice 126 of 2009
        ("1250.000", "FM", 3, "jp", "outside the bands of Japan: 1260-1300"),
        ("147.000", "FM", 2, "us", ""),
        ("223.500", "FM", 1, "gb", "no 1.25 m band in the United Kingdom"),
        ("223.500", "FM", 3, "us", "no 1.25 m band"),  # 47 CFR 97.301: Region 2 only
        ("70.450", "FM", 1, "gb", ""),
        ("70.450", "FM", 1, "fr", "no 4 m band in France"),
        ("51.510", "FM", 1, "pl", "no FM on 6 m"),
        ("51.510", "USB", 1, "pl", ""),
        ("53.000", "FM", 1, "ke", ""),  # WRC-19: 50-54 in Kenya and others
        ("53.000", "FM", 1, "fr", "outside the bands of France: 50-52"),
        ("141.300", "FM", 2, "us", "outside every band"),
        ("7.030", "CW", 1, "gb", ""),
        ("147.000", "FM", None, None, ""),
        ("150.000", "FM", None, None, "outside every band"),
    ],
)  # fmt: skip
def test_a_frequency_is_held_against_the_bands_of_the_place(
    megahertz: str, mode: str, region: int | None, area: str | None, words: str
) -> None:
    told = band_problem(read_megahertz(megahertz), mode, region, area)
    assert told.startswith(words)
    assert bool(told) is bool(words)


def test_every_row_of_bands_belongs_to_a_country_or_a_region() -> None:
    for area in areas():
        for row in bands_at(area.regions[0], area.code):
            assert row.low_hertz < row.high_hertz
            assert row.source
            assert row.area in (area.code, f"region {area.regions[0]}")
    assert area_coded("nowhere") is None
