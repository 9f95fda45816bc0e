"""Call signs: shapes of the Radio Regulations, article 19, parts around strokes, what is never refused.

Calls are invented, with a Q code for a suffix. Shapes: Nos. 19.50, 19.68, 19.68.1, 19.68A and 19.69.
"""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldtui.radio.callsign import LONGEST_CALL, looks_like_call, read_call

USUAL = [
    "KD7QSV",
    "W0QSL",
    "VE7QRZ",
    "K1QRN",
    "AA7QSL",
    "K7A",  # one letter after the digit: special event, 47 CFR 97.3(a)(11)(iii)
    "W1QR",
    "2E0QRA",  # a digit first
    "E72QRA",  # letter and digit before the digit
    "9A1QRT",
    "G1QRA",  # No. 19.69: the digits 0 and 1 are allowed after the prefix
    "TM2QRAQ",
]
UNUSUAL = [
    "3DA0QRA",  # No. 19.68.1, half series
    "SSA1QRA",
    "C6AQRA",  # as the Bahamas issue
    "D4C",  # one letter after letter and digit: in use as contest calls (from memory)
    "E7A",
    "C4A",
    "P3X",
    "T7A",
    "GB100QRA",  # No. 19.68A, special occasion
    "TM2026QRA",
    "1A0QRA",  # in use without an ITU series
    "S01QRA",
]
NO_CALL = [
    "",
    "   ",
    "/",
    "//",
    "HELLO",
    "CQ",
    "59",
    "599",
    "5NN",
    "146.52",
    "CN94",
    "10W",
    "1842Z",
    "FM",
    "É1QRA",
    "K１QRA",
]


@pytest.mark.parametrize("call", USUAL)
def test_a_call_of_article_19_is_usual(call: str) -> None:
    assert read_call(call).shape == "usual"


@pytest.mark.parametrize("call", UNUSUAL)
def test_a_call_that_article_19_does_not_foresee_is_unusual_but_a_call(call: str) -> None:
    assert read_call(call).shape == "unusual"
    assert looks_like_call(call)


@pytest.mark.parametrize("word", NO_CALL)
def test_other_words_of_the_entry_line_are_no_calls(word: str) -> None:
    assert read_call(word).shape == "no"
    assert not looks_like_call(word)


@pytest.mark.parametrize(
    ("text", "core", "indicators", "place"),
    [
        ("k1qrn/p", "K1QRN", ("P",), None),
        ("KD7QSV/7", "KD7QSV", ("7",), None),
        ("KD7QSV/QRP", "KD7QSV", ("QRP",), None),
        ("QRP/KD7QSV", "KD7QSV", ("QRP",), None),  # 97.119(c): an indicator may also stand before
        ("KD7QSV/MM", "KD7QSV", ("MM",), None),
        ("KD7QSV/P/QRP", "KD7QSV", ("P", "QRP"), None),
        ("W4/DL1QRA", "DL1QRA", (), "W4"),  # 97.119(g): a visitor puts the area before the home call
        ("VE7QRZ/W7", "VE7QRZ", (), "W7"),  # 97.119(g): a Canadian licensee puts it after
        ("F/W0QSL/P", "W0QSL", ("P",), "F"),  # CEPT T/R 61-01
        ("HB0/DL1QRA", "DL1QRA", (), "HB0"),
        ("W0QSL/KH6", "W0QSL", (), "KH6"),
        ("3DA0QRA/P", "3DA0QRA", ("P",), None),
        # A place that looks like a call and is as long as one, before the home call and after it.
        ("VP2M/W1QR", "W1QR", (), "VP2M"),
        ("VP2M/K3QR", "K3QR", (), "VP2M"),
        ("W1QR/VP2M", "W1QR", ("VP2M",), None),
        ("VK9X/K3QR", "K3QR", (), "VK9X"),
        ("VP2E/N7QR/P", "N7QR", ("P",), "VP2E"),
        ("3D2R/W1QR", "W1QR", (), "3D2R"),
        ("E51M/K3QR", "K3QR", (), "E51M"),
        ("VP2M/AA7Q", "AA7Q", (), "VP2M"),
        ("AA7Q/VP2M", "AA7Q", ("VP2M",), None),
        ("KH7K/AA7Q", "AA7Q", (), "KH7K"),
        ("VP2M/KD7QSV", "KD7QSV", (), "VP2M"),
        ("VP2M/9A1Q", "9A1Q", (), "VP2M"),  # either may be a place: the home call stands last
        ("VP2M/P", "VP2M", ("P",), None),
        ("W0QSL/", "W0QSL", (), None),
    ],
)
def test_parts_around_strokes(text: str, core: str, indicators: tuple[str, ...], place: str | None) -> None:
    read = read_call(text)
    assert (read.text, read.core, read.indicators, read.location_prefix) == (
        text.upper(),
        core,
        indicators,
        place,
    )


@pytest.mark.parametrize("heard", ["k?7qs?", "?D7QSV", "KD?QSV", "KD?QS?", "W0QS?", "3DA?QRA", "K1QR?/P"])
def test_characters_not_heard_fit_wherever_the_shape_allows(heard: str) -> None:
    assert looks_like_call(heard)


@pytest.mark.parametrize("word", ["?", "???", "what?", "no??", "hi?", "K??", "ok?"])
def test_words_with_question_marks_are_not_half_heard_calls(word: str) -> None:
    assert not looks_like_call(word)


def test_a_text_too_long_for_any_call_is_none() -> None:
    assert not looks_like_call("K1" + "Q" * LONGEST_CALL + "/P")
    assert not looks_like_call("K1QRN/" + "P/" * 10_000)


def test_letters_that_only_fold_into_ascii_do_not_pass_for_it() -> None:
    """Upper-casing turns a dotless i into I and a sharp s into SS."""
    assert not looks_like_call("ı1qra")
    assert not looks_like_call("w1ßa")


@settings(deadline=None)
@given(st.text(max_size=40) | st.text("KW0179QAZ?/", max_size=12))
def test_reading_never_raises_and_every_part_comes_from_the_text(text: str) -> None:
    read = read_call(text)
    assert read.core in read.text
    assert looks_like_call(text) == (read.shape != "no")
    for part in (*read.indicators, read.location_prefix or ""):
        assert part in read.text
