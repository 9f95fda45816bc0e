"""What holds for every line, whatever was typed."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from unicodedata import category

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldtui.entry.asjson import to_json
from fieldtui.entry.grammar import parse_line
from fieldtui.entry.lines import ContactLine, Context, UnclearLine, Verb, VerbLine
from fieldtui.entry.payloads import Note
from fieldtui.entry.readback import describe
from fieldtui.entry.shapes import shape_of
from fieldtui.radio.callsign import looks_like_call
from fieldtui.radio.frequency import format_megahertz

NOW = datetime(2026, 6, 14, 18, 50, tzinfo=UTC)
CONTEXT = Context(now=NOW, hertz=146_520_000, mode="FM", known_calls=frozenset({"KD7QSV", "GB50QT"}))

CALLS = ("kd7qsv", "W0QSL", "K1QRN/P", "k?7qs?", "gb50qt", "q1qq", "ve7qrz")
SHAPED = (
    "59",
    "57",
    "99",
    "599",
    "-12",
    "59+10",
    "cn94",
    "cn94hb",
    "146.55",
    "162.4",
    "fm",
    "ssb",
    "10w",
    "0w",
)
TIMES = ("1842z", "2460z", "1930z", "-5m", "-999m")
LOOSE = (
    "Rosa",
    "Larkspur",
    "card",
    "[bold]",
    "[/]",
    "146,55",
    "146520",
    "1842",
    "name",
    "last",
    "3",
    "mhz",
    "?",
    "-",
)
VERBS = (*Verb, "tune", "fix3")

WORDS = st.sampled_from(CALLS + SHAPED + TIMES + LOOSE + VERBS)
ANYTHING = st.text(st.characters(exclude_categories=()), max_size=12)
GAPS = st.sampled_from([" ", ", ", ",", "  ", "\t", " , ", "\u2028"])
LINES = st.lists(st.tuples(WORDS | ANYTHING, GAPS), max_size=12).map(
    lambda pairs: "".join(map("".join, pairs))
)
CONTACT_LINES = st.builds("{} {}".format, st.sampled_from(CALLS), LINES)
CONTEXTS = st.sampled_from([CONTEXT, Context(), Context(now=NOW, mode="CW"), Context(mode="nonsense")])

REFUSED = {"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"}


def is_safe(text: str) -> bool:
    """Tell whether a text may go to a terminal as it is."""
    return not {category(character) for character in text} & REFUSED


@settings(deadline=None, max_examples=300)
@given(LINES | CONTACT_LINES | ANYTHING, CONTEXTS)
def test_any_text_gives_a_line_that_keeps_the_text(text, context):
    """Never an exception, and what was typed is in the result to the character."""
    assert parse_line(text, context).text == text


@settings(deadline=None, max_examples=300)
@given(LINES | CONTACT_LINES, CONTEXTS)
def test_everything_said_and_kept_is_safe_to_show(text, context):
    """No control character reaches a phrase, a problem or the JSON."""
    line = parse_line(text, context)
    assert all(map(is_safe, describe(line)))
    assert all(map(is_safe, line.all_problems))
    assert all(is_safe(value) for value in to_json(line).values() if isinstance(value, str))


@settings(deadline=None, max_examples=200)
@given(LINES | CONTACT_LINES, CONTEXTS)
def test_problems_are_one_short_line_each(text, context):
    """A reason that does not fit below the entry line helps nobody."""
    for problem in parse_line(text, context).all_problems:
        assert 0 < len(problem) <= 220
        assert not problem[0].isspace()


PLAIN_WORDS = st.text("bcdfgjklmpqrtvwxz", min_size=4, max_size=9)
"""Letters that make no word of any language here, no mode and no locator."""


@settings(deadline=None, max_examples=300)
@given(CONTACT_LINES, st.lists(PLAIN_WORDS, min_size=1, max_size=4), st.data(), CONTEXTS)
def test_no_word_of_a_contact_is_lost(text, plain, data, context):
    """Words that are nothing but words, anywhere behind the call: they are in the name, the place or the remarks."""
    words = text.split(" ")
    for word in plain:
        words.insert(data.draw(st.integers(1, len(words))), word)
    line = parse_line(" ".join(words), context)
    if not isinstance(line, ContactLine):
        return
    free = " ".join(filter(None, (line.name, line.place, line.remarks)))
    for word in plain:
        assert word in free or any(word in problem for problem in line.all_problems)


@settings(deadline=None, max_examples=200)
@given(LINES | CONTACT_LINES, CONTEXTS)
def test_json_survives_a_round_trip(text, context):
    """The object is plain: what is read back is what was written, with no number that JSON lacks."""
    plain = to_json(parse_line(text, context))
    assert json.loads(json.dumps(plain, allow_nan=False)) == plain
    json.dumps(plain, ensure_ascii=False).encode()


@settings(deadline=None, max_examples=200)
@given(st.lists(WORDS, max_size=8).map(" ".join), CONTEXTS)
def test_case_of_typing_does_not_matter(text, context):
    """All lower, all upper: the same line, but for the case of free text."""
    lower, upper = (msgspec.to_builtins(parse_line(typed, context)) for typed in (text.lower(), text.upper()))
    assert _folded(lower) == _folded(upper)


def _folded(value):
    if isinstance(value, dict):
        return {key: _folded(part) for key, part in value.items()}
    if isinstance(value, (tuple, list)):
        return [_folded(part) for part in value]
    return value.casefold() if isinstance(value, str) else value


NAMES = (
    st.text("abcdeéfghijklmnopqrstuvwxyzABCDEFG' ", min_size=3, max_size=20)
    .map(str.strip)
    .filter(lambda name: name and shape_of(name.split()[0]) is None and "card" not in name.casefold())
)
FIELDS = st.fixed_dictionaries(
    {"call": st.sampled_from(("KD7QSV", "W0QSL", "K1QRN/P"))},
    optional={
        "reports": st.sampled_from((("59", "57"), ("599", "579"), ("-12", "-8"), ("59+20", "55"))),
        "locator": st.sampled_from(("CN94", "CN94hb", "IO91wm25")),
        "hertz": st.integers(1, 250_000_000_000),
        "mode": st.sampled_from(("FM", "SSB", "CW", "FT8")),
        "watts": st.integers(1, 15000).map(lambda tenths: tenths / 10),
        "pieces": st.lists(NAMES, min_size=1, max_size=3),
        "card": st.just(True),
    },
)


@settings(deadline=None, max_examples=200)
@given(FIELDS, st.randoms(use_true_random=False))
def test_what_is_composed_is_understood(fields, random):
    """Words of known shape in any order, then free text: every field comes back as it was put in."""
    pieces = fields.get("pieces", [])
    words = [fields[key] for key in ("locator", "mode") if key in fields]
    words += [" ".join(fields["reports"])] if "reports" in fields else []
    words += [format_megahertz(fields["hertz"])] if "hertz" in fields else []
    words += [f"{fields['watts']}w"] if "watts" in fields else []
    random.shuffle(words)
    free = ", ".join([*pieces, *(["card"] if "card" in fields else [])])
    line = parse_line(" ".join([fields["call"], *words, free]), CONTEXT)
    assert isinstance(line, ContactLine)
    assert line.loggable
    assert line.call == fields["call"]
    assert (line.sent, line.received) == fields.get("reports", (None, None))
    assert line.card == fields.get("card", False)
    for key in ("locator", "hertz", "mode", "watts"):
        assert getattr(line, key) == fields.get(key), key
    assert [line.name, line.place, line.remarks] == [*pieces, None, None, None][:3]


@pytest.mark.parametrize("length", [1001, 10_000])
def test_a_pasted_text_is_named_by_its_length(length):
    """Ten thousand characters: one clear line, the text kept whole."""
    text = "kd7qsv 59 " + "x" * (length - 10)
    line = parse_line(text)
    assert isinstance(line, UnclearLine)
    assert line.text == text
    assert line.problems == (
        f"{length:,} characters, and 1,000 fit: shorten it, or cut it into several notes",
    )


def test_a_thousand_characters_fit():
    """The bound itself is still a line."""
    line = parse_line("note " + "x" * 995)
    assert not line.problems


def test_text_that_grows_when_composed_is_kept_whole():
    """A few letters have no composed form and become two characters, or three."""
    line = parse_line("note " + "\u0958" * 990 + "end")
    assert isinstance(line, VerbLine)
    assert line.payload == Note("\u0915\u093c" * 990 + "end")


def test_no_verb_has_the_shape_of_a_call():
    """Else a verb would hide a station."""
    assert [verb for verb in (*Verb, "tune") if looks_like_call(verb)] == []
