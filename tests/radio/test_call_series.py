"""Whose call it is: the ITU table of international call sign series, and where looking up goes wrong."""

import string

import pytest

from fieldtui.data.tables import load_rows
from fieldtui.radio.callsign import administration, district, foreign_prefix_suffix
from fieldtui.radio.series import administration_of_prefix

US = "United States of America"
UK = "United Kingdom of Great Britain and Northern Ireland"


@pytest.mark.parametrize(
    ("call", "name"),
    [
        ("KD7QSV", US),
        ("K1QRN", US),  # a digit second: the first letter alone decides
        ("AA7QSL", US),
        ("W4/VE7QRZ", "Canada"),  # the licence, not the place
        ("VE7", "Canada"),  # a bare prefix
        ("2E0QRA", UK),
        ("G0QRA/P", UK),
        ("R1QRA", "Russian Federation"),
        ("A2QRA", "Botswana (Republic of)"),  # A2 to A9 are not the United States, AA to AL are
        ("A9QRA", "Bahrain (Kingdom of)"),
        ("AL7QRA", US),
        ("AM1QRA", "Spain"),
        ("3DA0QRA", "Eswatini (Kingdom of)"),
        ("3DN1QRA", "Fiji (Republic of)"),
        ("3D2QRA", "Fiji (Republic of)"),  # on the air, outside the letter range of the table
        ("SSA1QRA", "Egypt (Arab Republic of)"),
        ("SSN1QRA", "Sudan (Republic of the)"),
        ("C6AQRA", "Bahamas (Commonwealth of the)"),
        ("K?7QS?", US),  # enough was heard
    ],
)
def test_administration(call: str, name: str) -> None:
    """Names of the ITU table, Radio Regulations, Appendix 42."""
    assert administration(call) == name


@pytest.mark.parametrize(
    "call", ["1A0QRA", "1S1QRA", "S01QRA", "Z60QRA", "?D7QSV", "V?7QRZ", "3D?0QRA", "hello", ""]
)
def test_not_in_the_table_or_too_little_heard(call: str) -> None:
    assert administration(call) is None


def test_the_table_has_the_rows_the_itu_counts() -> None:
    """The ITU's export of 2026-07-07 counts 652 letter-letter, 208 digit-letter and 92 letter-digit rows.

    Each pair of first characters is a row there; half series count twice, three rows of PJ are one here.
    """
    series = [(first, last) for first, last, _ in load_rows("itu_call_sign_series.csv")]
    keys = [
        first[0] + chr(second)
        for first, last in series
        for lead in range(ord(first[0]), ord(last[0]) + 1)
        for second in range(ord(first[1]), ord(last[1]) + 1)
        if chr(lead) == first[0]
    ]
    letter_letter = sum(key.isalpha() for key in keys)
    digit_letter = sum(key[0].isdigit() for key in keys)
    letter_digit = sum(key[1].isdigit() for key in keys)
    assert (letter_letter + 2, digit_letter, letter_digit) == (652, 208, 92)


def test_unallocated_blocks_have_no_administration() -> None:
    """The blocks that an independent encyclopaedia lists as unallocated, and the Q codes (No. 19.46)."""
    blocks = ["E8", "E9", "H5", "J9", "S4", "T9", "V9", "YZ", "Z4", "Z5", "Z6", "Z7", "Z9", "4N"]
    blocks += [f"{letter}{digit}" for letter in "OUX" for digit in range(2, 10)]
    blocks += ["Q" + letter for letter in string.ascii_uppercase]
    assert [block for block in blocks if administration_of_prefix(block)] == []


def test_every_other_pair_of_letters_has_one() -> None:
    unallocated = {"YZ", "SS"} | {"Q" + letter for letter in string.ascii_uppercase}
    pairs = {one + other for one in string.ascii_uppercase for other in string.ascii_uppercase} - unallocated
    assert [pair for pair in sorted(pairs) if administration_of_prefix(pair) is None] == []


@pytest.mark.parametrize(
    ("call", "says"),
    [
        ("KD7QSV", "in area 7 (AZ ID MT NV OR UT WA WY)"),
        ("W0QSL/P", "in area 0 (CO IA KS MN MO NE ND SD)"),
        ("K6QRA", "in area 6 (CA)"),
        ("KL7QSL", "for Alaska"),
        ("KH6QSL", "for the Pacific"),
        ("NP3QSL", "for the Caribbean"),
        ("KG4QR", "for Guantanamo Bay"),  # from memory: KG4 and two letters; with three it is area 4
        ("KG4QRA", "in area 4 (AL FL GA KY NC SC TN VA)"),
    ],
)
def test_the_area_of_issue_comes_with_its_caution(call: str, says: str) -> None:
    """Areas of the FCC sequential call sign system."""
    told = district(call)
    assert told == f"first issued {says}; says nothing about where they are"


@pytest.mark.parametrize("call", ["VE7QRZ", "G0QRA", "A2QRA", "hello", ""])
def test_other_calls_have_no_area_of_issue(call: str) -> None:
    assert district(call) is None


@pytest.mark.parametrize(
    ("call", "country"),
    [
        ("KD7QSV/M", "United Kingdom"),
        ("KD7QSV/MM", "United Kingdom"),
        ("KD7QSV/AM", "Spain"),
        ("W0QSL/R", "Russian Federation"),
        ("W0QSL/VE7", "Canada"),
        ("W0QSL/P/M", "United Kingdom"),
    ],
)
def test_a_suffix_that_reads_as_a_foreign_prefix_is_warned_of(call: str, country: str) -> None:
    """47 CFR 97.119(c), prefixes by the ITU table."""
    warning = foreign_prefix_suffix(call)
    assert warning is not None
    assert country in warning
    assert "97.119(c)" in warning


@pytest.mark.parametrize(
    "call", ["KD7QSV", "KD7QSV/P", "KD7QSV/QRP", "W0QSL/7", "W0QSL/KH6", "K1QRN/AG", "G0QRA/M", "?"]
)
def test_suffixes_that_clash_with_nobody(call: str) -> None:
    """AG is set by the rule itself (97.119(f)), KH6 is American, and the rule binds only calls from there."""
    assert foreign_prefix_suffix(call) is None
