"""Bands and frequencies: the ADIF 3.1.6 Band enumeration, and exact reading."""

from contextlib import suppress

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldtui.radio.bands import BANDS, band_of
from fieldtui.radio.frequency import MOST_HERTZ, FrequencyError, format_megahertz, read_megahertz


def name_of(megahertz: str) -> str | None:
    band = band_of(read_megahertz(megahertz))
    return band.name if band else None


def test_there_are_as_many_bands_as_the_enumeration_has() -> None:
    assert len(BANDS()) == 33


@pytest.mark.parametrize(
    ("megahertz", "name"),
    [
        ("0.1357", "2190m"),
        ("5.3305", "60m"),
        ("50.125", "6m"),
        ("54", "6m"),
        ("54.000001", "5m"),
        ("143.999999", None),
        ("144", "2m"),
        ("146.52", "2m"),
        ("148", "2m"),
        ("148.000001", None),
        ("223.5", "1.25m"),
        ("446", "70cm"),
        ("1294.5", "23cm"),
        ("7500000", "submm"),
        ("100", None),
    ],
)
def test_edges_belong_to_the_band(megahertz: str, name: str | None) -> None:
    """ADIF 3.1.6, Band enumeration: lower and upper frequency, both included."""
    assert name_of(megahertz) == name


def test_bands_stand_apart_in_order() -> None:
    edges = [edge for band in BANDS() for edge in (band.lower_hertz, band.upper_hertz)]
    assert edges == sorted(set(edges))


@pytest.mark.parametrize(
    ("text", "hertz"),
    [
        ("146.52", 146_520_000),
        ("146.520", 146_520_000),
        ("144.39125", 144_391_250),
        ("7", 7_000_000),
        ("0.1357", 135_700),
        ("145.1", 145_100_000),
        ("28.074001", 28_074_001),
        ("146.52000000", 146_520_000),
        (" 146.52 ", 146_520_000),
    ],
)
def test_megahertz_are_read_to_the_hertz(text: str, hertz: int) -> None:
    assert read_megahertz(text) == hertz


@pytest.mark.parametrize(
    "text",
    [
        "",
        ".",
        "146.",
        ".5",
        "146,52",
        "-146.52",
        "+146.52",
        "1e3",
        "nan",
        "inf",
        "146.5200001",
        "12345678",
        "0",
        "0.0",
        "١٤٦.٥٢",
        "146.52MHz",
        "1_46.52",
        "1 46.52",
        "1.2.3",
    ],
)
def test_what_is_no_frequency_is_refused_with_one_line(text: str) -> None:
    with pytest.raises(FrequencyError, match="write megahertz with a point") as refused:
        read_megahertz(text)
    assert str(refused.value).isascii()


@pytest.mark.parametrize(
    ("hertz", "text"),
    [
        (146_520_000, "146.520"),
        (144_391_250, "144.39125"),
        (7_000_000, "7.000"),
        (135_700, "0.1357"),
        (1, "0.000001"),
        (-600_000, "-0.600"),
        (0, "0.000"),
    ],
)
def test_megahertz_are_written_with_three_decimals_or_more(hertz: int, text: str) -> None:
    assert format_megahertz(hertz) == text


@settings(deadline=None)
@given(st.integers(1, MOST_HERTZ))
def test_what_is_written_reads_back_the_same(hertz: int) -> None:
    assert read_megahertz(format_megahertz(hertz)) == hertz


@settings(deadline=None)
@given(st.text(max_size=20))
def test_any_text_is_a_frequency_or_is_refused(text: str) -> None:
    with suppress(FrequencyError):
        assert read_megahertz(text) > 0
