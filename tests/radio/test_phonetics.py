"""Spelling aloud: Radio Regulations, Appendix 14, and plain English figures."""

import string

from hypothesis import given, settings
from hypothesis import strategies as st

from fieldtui.radio.phonetics import spell


def test_a_call_is_spelled_with_plain_figures() -> None:
    assert spell("kd7qsv") == "Kilo Delta Seven Quebec Sierra Victor"


def test_strokes_and_gaps_are_spoken() -> None:
    """47 CFR 97.119(c) takes any suitable word for the stroke."""
    assert spell("K?1QRN/P") == "Kilo unknown One Quebec Romeo November stroke Papa"


def test_all_letters_are_those_of_appendix_14() -> None:
    assert spell(string.ascii_uppercase) == (
        "Alfa Bravo Charlie Delta Echo Foxtrot Golf Hotel India Juliett Kilo Lima Mike November Oscar Papa "
        "Quebec Romeo Sierra Tango Uniform Victor Whiskey X-ray Yankee Zulu"
    )


def test_all_figures_by_choice() -> None:
    """Figure words: Radio Regulations, Appendix 14."""
    assert spell("0123456789", "itu") == (
        "Nadazero Unaone Bissotwo Terrathree Kartefour Pantafive Soxisix Setteseven Oktoeight Novenine"
    )
    assert spell("0123456789") == "Zero One Two Three Four Five Six Seven Eight Nine"


@settings(deadline=None)
@given(st.text(max_size=20))
def test_nothing_of_an_unspeakable_text_gets_through(text: str) -> None:
    spoken = spell(text)
    assert set(spoken) <= set(string.ascii_letters + " -")
    assert len(spoken.split()) == sum(not character.isspace() for character in text)
