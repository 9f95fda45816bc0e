"""Text from outside is made safe at one door."""

from __future__ import annotations

from unicodedata import category, is_normalized

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from fieldtui.entry.text import REPLACEMENT, clean_text, quote

ANY_TEXT = st.text(st.characters(exclude_categories=()), max_size=60)
MARKED_TEXT = st.text(
    # Marks of several combining classes, spacing marks, letters that compose with what follows, Hangul jamo.
    st.sampled_from(
        "aeé\u0301\u0323\u0307\u20dd\u034f\u0903\u0cc6\u0cc2\u0cd5\u09c7\u09be\u1100\u1161\u11a8\ufe0f "
    ),
    max_size=30,
)

# Code points that reorder or hide what is read: Unicode Technical Report 36 and CVE-2021-42574.
BIDIRECTIONAL = "\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
INVISIBLE = "\u00ad\u200b\u200c\u200d\u2060\ufeff\U000e0041"
CONTROL = "\x00\x07\x08\x1b\x7f\x80\x9b\x9d"


@pytest.mark.parametrize(
    "character", [*BIDIRECTIONAL, *INVISIBLE, *CONTROL, "\ud800", "\ue000", "\uffff"], ids=ascii
)
def test_harmful_character_is_replaced_never_deleted(character):
    """What was apart stays apart, with a visible sign between."""
    assert clean_text(f"KD7{character}QSV", 80) == f"KD7{REPLACEMENT}QSV"


@pytest.mark.parametrize("character", ["\t", "\n", "\r", "\v", "\f", "\x85", "\u2028", "\u2029"], ids=ascii)
def test_break_becomes_a_blank(character):
    """Tabs and line breaks separate words, as typed."""
    assert clean_text(f"59{character}57", 80) == "59 57"


def test_composes_letters_and_marks():
    """The two writings of an accented letter become one."""
    assert clean_text("Zoe\u0308", 80) == "Zo\u00eb"


def test_keeps_two_marks_and_drops_the_rest():
    """Piled-up marks spill over other lines of the screen."""
    assert clean_text("q\u0323\u0307\u0331\u0302y", 80) == "q\u0323\u0331y"


def test_cuts_to_the_limit():
    """No more characters come out than asked for."""
    assert clean_text("abcdef", 3) == "abc"
    assert clean_text("äbcdef", 3) == "äbc"


@settings(deadline=None)
@given(ANY_TEXT | MARKED_TEXT, st.integers(0, 80))
@example("\u0cc6\u0301\u0301\u0301\u0cc2", 80)
def test_result_is_safe_and_bounded(text, limit):
    """Whatever goes in: printable, composed, encodable, within the limit."""
    cleaned = clean_text(text, limit)
    assert len(cleaned) <= limit
    assert not {category(character) for character in cleaned} & {"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"}
    assert is_normalized("NFC", cleaned)
    cleaned.encode()


@settings(deadline=None)
@given(ANY_TEXT | MARKED_TEXT, st.integers(0, 80))
@example("\u0cc6\u0301\u0301\u0301\u0cc2", 80)
def test_cleaning_twice_changes_nothing(text, limit):
    """Two doors in a row do no harm."""
    cleaned = clean_text(text, limit)
    assert clean_text(cleaned, limit) == cleaned


@settings(deadline=None)
@given(MARKED_TEXT)
def test_never_more_than_two_marks_in_a_row(text):
    """Counted on the result, after composing."""
    run = longest = 0
    for character in clean_text(text, 200):
        run = run + 1 if category(character) in ("Mn", "Me") else 0
        longest = max(longest, run)
    assert longest <= 2


def test_quote_shortens_with_an_ellipsis():
    """A pasted word does not flood a message."""
    assert quote("x" * 24) == "x" * 24
    assert quote("x" * 25) == "x" * 23 + "…"
