"""Signal reports: R-S-T as handbooks print it, suffixes of the IARU Region 1 VHF handbook, decibels."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldtui.radio.reports import parse_report, read_report, report_problem


@pytest.mark.parametrize(
    ("word", "text"),
    [
        ("59", "59"),
        ("11", "11"),
        ("599", "599"),
        ("5nn", "599"),  # N for 9: common practice, no source
        ("59+20", "59+20"),
        ("59+5", "59+5"),
        ("59+20db", "59+20"),
        ("59+", "59+"),
        ("-12", "-12"),
        ("-08", "-8"),
        ("+3", "+3"),
        ("+00", "+0"),
        ("599c", "599C"),
        ("579K", "579K"),
        ("599x", "599X"),
        ("59a", "59a"),  # IARU Region 1 VHF handbook, Vienna 2010: in place of the tone
        ("55S", "55s"),
        ("99", "99"),  # the shape of a report, though not a right one
        ("50", "50"),
    ],
)
def test_reports_are_recognised_by_shape(word: str, text: str) -> None:
    assert read_report(word) == text


@pytest.mark.parametrize(
    "word",
    [
        "",
        "5",
        "5999",
        "146.52",
        "cn94",
        "10w",
        "1842z",
        "-5m",
        "10m",
        "15m",
        "17m",
        "20m",
        "40m",
        "80m",
        "59c",
        "nn",
        "--12",
        "-",
        "-123",
        "59+200",
        "5 9",
        "٥٩",
        "59?",
        "fm",
        "k1qrn",
    ],
)
def test_other_words_are_no_reports(word: str) -> None:
    """Bands and times must not pass for reports."""
    assert read_report(word) is None


@pytest.mark.parametrize(
    ("text", "mode", "problem"),
    [
        ("99", "FM", "readability is 1 to 5"),
        ("69", None, "readability is 1 to 5"),
        ("09", None, "readability is 1 to 5"),
        ("50", "FM", "strength is 1 to 9"),
        ("590", "CW", "tone is 1 to 9"),
        ("57+20", "FM", "decibels over count from strength 9"),
        ("599", "FM", "a report on FM has 2 digits"),
        ("59", "CW", "a report on CW has 3 digits"),
        ("-12", "usb", "decibels alone are for data modes, not for USB"),
    ],
)
def test_what_is_wrong_is_said(text: str, mode: str | None, problem: str) -> None:
    """R 1 to 5, S 1 to 9, T 1 to 9, never 0; two digits on phone, three on CW and data (handbook tables)."""
    assert report_problem(text, mode) == problem


@pytest.mark.parametrize(
    ("text", "mode"),
    [
        ("59", "FM"),
        ("11", "SSB"),
        ("59+20", "FM"),
        ("599", "CW"),
        ("111", "CW"),
        ("599C", "CW"),
        ("-12", "FT8"),
        ("599", "RTTY"),
        ("59a", "CW"),
        ("59a", "SSB"),
        ("-12", None),
        ("599", None),
        ("595", "SSTV"),
        ("59", "MCW"),
        ("59", "warble"),
    ],
)
def test_right_reports_have_no_problem(text: str, mode: str | None) -> None:
    assert report_problem(text, mode) is None


def test_every_digit_in_range_is_right_and_every_other_is_not() -> None:
    for number in range(1000):
        text = f"{number:03d}"
        right = 1 <= int(text[0]) <= 5 and text[1] != "0" and text[2] != "0"
        assert (report_problem(text, "CW") is None) == right


def test_parts_of_a_report() -> None:
    report = parse_report("59+20")
    assert report is not None
    assert (report.readability, report.strength, report.tone, report.plus_decibels) == (5, 9, None, 20)
    decibels = parse_report("-12")
    assert decibels is not None
    assert (decibels.decibels, decibels.readability) == (-12, None)


def test_a_word_that_is_no_report_is_told_how_one_looks() -> None:
    problem = report_problem("fine\x1b[2J business", "FM")
    assert problem is not None
    assert problem.isprintable()
    assert "write 59" in problem


@settings(deadline=None)
@given(st.text("0123456789+-NnCcKkXxAaSsMmDdBb", max_size=8) | st.text(max_size=8))
def test_a_written_report_reads_back_the_same(word: str) -> None:
    text = read_report(word)
    assert text is None or read_report(text) == text
