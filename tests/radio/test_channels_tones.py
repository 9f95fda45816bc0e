"""CTCSS and DCS tables, checked against the standard's groups and the theory of the Golay code."""

from __future__ import annotations

from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldtui.radio.channels.tones import (
    ctcss_tones,
    dcs_codes,
    dcs_word,
    inverse_dcs,
    is_ctcss,
    is_dcs,
    nearest_ctcss,
    read_ctcss,
    read_dcs,
    same_signal,
)
from fieldtui.radio.outside_text import RefusedError

# EIA RS-220, groups A, B and C, as published.
RS_220 = (
    "67.0 77.0 88.5 100.0 107.2 114.8 123.0 131.8 141.3 151.4 162.2 173.8 186.2 203.5 218.1 233.6 250.3",
    "71.9 82.5 94.8 103.5 110.9 118.8 127.3 136.5 146.2 156.7 167.9 179.9 192.8 210.7 225.7 241.8",
    "74.4 79.7 85.4 91.5",
)


def golay_code() -> set[int]:
    """All words of the Golay code as multiples of the generator, by carry-less multiplication."""
    words = set()
    for factor in range(1 << 12):
        word = 0
        for power in range(12):
            if factor >> power & 1:
                word ^= 0xC75 << power
        words.add(word)
    return words


GOLAY = golay_code()


def test_the_standard_groups_are_all_there() -> None:
    """Every tone of RS-220 is known, and the table holds the usual 50."""
    assert all(is_ctcss(float(tone)) for group in RS_220 for tone in group.split())
    assert len(ctcss_tones()) == len(set(ctcss_tones())) == 50
    assert list(ctcss_tones()) == sorted(ctcss_tones())


def test_a_tone_close_to_a_known_one_is_not_it_but_names_it() -> None:
    assert not is_ctcss(88.4)
    assert nearest_ctcss(88.4) == 88.5
    assert nearest_ctcss(1750) == 254.1


@pytest.mark.parametrize(
    ("text", "hertz"), [("88.5", 88.5), ("100", 100.0), (" 67.0 ", 67.0), ("127.30", 127.3)]
)
def test_tones_are_read_with_or_without_decimals(text: str, hertz: float) -> None:
    assert read_ctcss(text) == hertz


@pytest.mark.parametrize("text", ["", "88,5", "x", "1e2", "nan", "-67", "88.4", "1750", "67.0 Hz", "٦٧"])
def test_what_is_no_tone_is_refused_with_a_remedy(text: str) -> None:
    with pytest.raises(RefusedError) as refusal:
        read_ctcss(text)
    assert refusal.value.what
    assert refusal.value.accepted


def test_the_generator_spans_the_golay_code() -> None:
    """Weights of the binary Golay code: MacWilliams and Sloane, The Theory of Error-Correcting Codes, ch. 2."""
    weights = Counter(word.bit_count() for word in GOLAY)
    assert weights == {0: 1, 7: 253, 8: 506, 11: 1288, 12: 1288, 15: 506, 16: 253, 23: 1}


@pytest.mark.parametrize("code", dcs_codes())
def test_every_code_is_a_golay_word(code: str) -> None:
    """The word is in the code, carries the fixed bits, and its first 9 bits are the code itself."""
    word = dcs_word(code)
    as_polynomial = (word & 0xFFF) << 11 | word >> 12
    assert as_polynomial in GOLAY
    assert word & 0x1FF == int(code, 8)
    assert word >> 9 & 0b111 == 0b100


def test_a_word_is_sent_as_published() -> None:
    """023 is 763813 hexadecimal (from memory, widely published)."""
    assert dcs_word("023") == 0x763813


def test_no_two_codes_are_one_signal() -> None:
    """104 codes, and no word is another one rotated."""
    seen: set[int] = set()
    for code in dcs_codes():
        word = dcs_word(code)
        turns = {(word >> turn | word << 23 - turn) & 0x7FFFFF for turn in range(23)}
        assert not turns & seen
        seen |= turns
    assert len(dcs_codes()) == 104


@pytest.mark.parametrize(("code", "inverse"), [("023", "047"), ("025", "244"), ("026", "464")])
def test_inverses_agree_with_a_published_table(code: str, inverse: str) -> None:
    assert inverse_dcs(code) == inverse


@pytest.mark.parametrize("code", dcs_codes())
def test_the_inverse_of_the_inverse_is_the_code(code: str) -> None:
    assert is_dcs(inverse_dcs(code))
    assert inverse_dcs(inverse_dcs(code)) == code


def test_inverting_what_is_no_code_is_an_error() -> None:
    with pytest.raises(ValueError, match="645"):
        inverse_dcs("645")


@pytest.mark.parametrize(
    ("text", "code"), [("023", "023"), ("23", "023"), ("023N", "023"), ("023i", "047"), (" 754 ", "754")]
)
def test_codes_are_read_as_people_and_spreadsheets_write_them(text: str, code: str) -> None:
    assert read_dcs(text) == code


@pytest.mark.parametrize("text", ["", "8", "089", "0023", "D023", "000", "024", "x"])
def test_what_is_no_code_is_refused(text: str) -> None:
    with pytest.raises(RefusedError):
        read_dcs(text)


def test_another_name_of_a_code_names_the_code() -> None:
    """Some lists show 645, which is the word of 526 rotated."""
    assert same_signal("645") == "526"
    with pytest.raises(RefusedError, match="526"):
        read_dcs("645")


@settings(deadline=None)
@given(st.text(max_size=12))
def test_any_text_is_a_tone_a_code_or_a_refusal(text: str) -> None:
    for read, known in ((read_ctcss, ctcss_tones()), (read_dcs, dcs_codes())):
        try:
            assert read(text) in known
        except RefusedError:
            assert text not in map(str, known)
