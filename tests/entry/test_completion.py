"""Completion of verbs, fields, channels and known calls."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldtui.entry.completion import MOST_OFFERED, complete, completions
from fieldtui.entry.grammar import parse_line
from fieldtui.entry.lines import Context, Verb, VerbLine

CONTEXT = Context(known_calls=frozenset({"KD7QSV", "KD7QTR", "W0QSL", "VE7QRZ"}))
CHANNELS = ("Calling 2m", "Larkspur repeater", "Packet")


def offered(text: str) -> list[str]:
    """Return the completions with the cursor at the end of the text."""
    return completions(text, len(text), CONTEXT, CHANNELS)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("", [*Verb, "tune"]),
        ("n", ["note"]),
        ("UN", ["undo"]),
        ("h", ["heard", "here"]),
        ("undo", []),
        ("kd7", ["KD7QSV", "KD7QTR"]),
        ("k?7qs", ["KD7QSV"]),
        ("?0", ["W0QSL"]),
        ("heard ", ["KD7QSV", "KD7QTR", "VE7QRZ", "W0QSL"]),
        ("heard v", ["VE7QRZ"]),
        ("fix ", ["last", "all"]),
        ("fix 3 r", ["received", "remarks"]),
        ("fix last lo", ["locator"]),
        ("fix 3 card ", ["yes", "no"]),
        ("fix 3 call w", ["W0QSL"]),
        ("fix 3 name R", []),
        ("id c", ["cw"]),
        ("channel ", list(CHANNELS)),
        ("channel larkspur r", ["Larkspur repeater"]),
        ("  channel p", ["Packet"]),
        ("channel", []),
        ("kd7qsv 5", []),
        ("note k", []),
    ],
)
def test_offers(text, expected):
    """What fits the place in the line, and begins as typed."""
    assert offered(text) == expected


@pytest.mark.parametrize(
    ("text", "cursor", "word", "expected"),
    [
        ("n", 1, "note", ("note ", 5)),
        ("fix 3 re", 8, "remarks", ("fix 3 remarks ", 14)),
        ("kd7 59 57", 3, "KD7QSV", ("KD7QSV 59 57", 7)),
        ("channel larkspur r", 18, "Larkspur repeater", ("channel Larkspur repeater ", 26)),
        ("heard ", 6, "W0QSL", ("heard W0QSL ", 12)),
    ],
)
def test_taking_one_replaces_the_word_and_keeps_the_rest(text, cursor, word, expected):
    """The cursor stands ready for the next word."""
    assert complete(text, cursor, word) == expected


def test_known_calls_are_offered_in_bounded_number():
    """A log of many years does not flood the screen."""
    calls = frozenset(f"KD7Q{a}{b}" for a in "RST" for b in "ABCDEFGHIJKLMNOP")
    assert len(completions("kd7", 3, Context(known_calls=calls), ())) == MOST_OFFERED


@pytest.mark.parametrize(
    "field", ["call", "sent", "received", "name", "place", "locator", "mhz", "mode", "watts"]
)
def test_every_offered_field_is_one_that_fix_takes(field):
    """The completion and the grammar know the same words."""
    assert field in offered("fix 3 ")
    line = parse_line(f"fix 3 {field}")
    assert isinstance(line, VerbLine)
    assert "to what?" in line.problems[0]


@settings(deadline=None)
@given(st.text(st.characters(exclude_categories=()), max_size=30), st.integers(-2, 40))
def test_any_text_and_cursor_are_taken(text, cursor):
    """Never an exception; a taken completion leaves everything outside its word in place."""
    for word in completions(text, cursor, CONTEXT, CHANNELS):
        line, at = complete(text, cursor, word)
        assert line[:at].endswith(f"{word} ")
        assert line[at:] == text[cursor:].lstrip()


def test_a_cursor_outside_the_line_changes_nothing():
    """Nothing is offered there, and taking something leaves the line alone."""
    assert completions("note", 9, CONTEXT, CHANNELS) == []
    assert complete("note", 9, "notes") == ("note", 9)
