"""Lines as people type them: most are taken as meant, and none otherwise without a word."""

from __future__ import annotations

import re
from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldtui.entry.grammar import parse_line
from fieldtui.entry.lines import ContactLine, TuningLine, VerbLine
from fieldtui.radio.bands import band_of
from tests.support.typed_lines import CONTEXT, typed_lines, understood, verdict

TYPED = typed_lines()


@pytest.mark.parametrize("typed", TYPED, ids=[f"{one.hand}: {one.text}" for one in TYPED])
def test_no_line_is_taken_otherwise_without_a_word(typed):
    """As meant, or with a reason that stands on the screen before Enter."""
    assert verdict(typed) != "silent", understood(parse_line(typed.text, CONTEXT))


@pytest.mark.parametrize("typed", [one for one in TYPED if not one.marks & {"stopped", "doubted", "loose"}],
                         ids=lambda one: one.text)  # fmt: skip
def test_what_is_taken_without_a_doubt_is_what_was_meant(typed):
    """A line with nothing but remarks has every field as it was meant, and no other."""
    line = parse_line(typed.text, CONTEXT)
    if (
        not line.problems
        and not line.doubts
        and not isinstance(line, VerbLine)
        and "stopped-or-doubted" not in typed.marks
    ):
        assert verdict(typed) == "meant"


def test_four_of_five_lines_are_taken_as_meant():
    """Over all hands together, those with thick gloves too."""
    counted = Counter(map(verdict, TYPED))
    assert len(TYPED) >= 400
    assert counted["meant"] >= 0.8 * len(TYPED), counted


def test_there_is_no_line_twice_by_one_hand():
    """Else the share would mean nothing."""
    lines = [(one.hand, one.text) for one in TYPED]
    assert len(set(lines)) == len(lines)


FIELDS = {"sent": "59", "rcvd": "57", "name": "rosa", "place": "bend"}


def line_of(given: dict[str, str]) -> str:
    words = ["kd7qsv", *(given[key] for key in ("sent", "rcvd") if key in given)]
    return f"{' '.join(words)} {', '.join(given[key] for key in ('name', 'place') if key in given)}".strip()


TOKENS = {
    "5x9": {"sent": "59"}, "5/9": {"sent": "59"}, "59/57": {"sent": "59", "rcvd": "57"},
    "59plus": {"sent": "59+"}, "s9": {"sent": "59"}, "r57": {"rcvd": "57"}, "five nine": {"sent": "59"},
    "18:42z": {"at": "1842"}, "1842utc": {"at": "1842"}, "1842z": {"at": "1842"}, "5 min ago": {"at": "1845"},
    "18.42 uhr": {"at": "1842"}, "146,55": {"mhz": "146.55"}, "146.55mhz": {"mhz": "146.55"},
    "146.550": {"mhz": "146.55"}, "146550khz": {"mhz": "146.55"}, "on 446.0": {"mhz": "446"}, "ssb": {"mode": "SSB"},
    "nfm": {"mode": "NFM"}, "lsb": {"mode": "LSB"}, "5 watts": {"w": "5"}, "100mw": {"w": "0.1"}, "10w": {"w": "10"},
    "@cn94": {"loc": "CN94"}, "cn94": {"loc": "CN94"}, "cn94hb": {"loc": "CN94hb"}, "w0qsl": {}, "-12": {},
    "wants a card": {"card": "yes"}, "card please": {"card": "yes"}, "qsl": {"card": "yes"}, "card": {"card": "yes"},
}  # fmt: skip
"""What has a shape, and what it means wherever it stands."""


@settings(deadline=None, max_examples=600)
@given(
    st.sampled_from(sorted(TOKENS)),
    st.sets(st.sampled_from(sorted(FIELDS))),
    st.integers(0, 8),
    st.sampled_from(["", ","]),
)
def test_a_word_with_a_shape_is_taken_or_remarked_on_wherever_it_stands(token, kept, at, comma):
    """At any place of a good line: it gets its field, or the line says what it was taken for."""
    good = {key: value for key, value in FIELDS.items() if key in kept}
    if "sent" not in good:
        good.pop("rcvd", None)
    words = line_of(good).split()
    place = min(at, len(words))
    line = parse_line(" ".join([*words[:place], token + comma, *words[place:]]), CONTEXT)
    got = understood(line)
    wanted = TOKENS[token]
    if set(wanted) == {"sent"} and got.get("rcvd") == wanted["sent"]:
        wanted = {"rcvd": wanted["sent"]}  # it stands behind another one
    taken = bool(wanted) and all(
        got.get(key, "").casefold() == value.casefold() for key, value in wanted.items()
    )
    assert taken or line.all_problems, got
    free = " ".join(got.get(key, "") for key in ("name", "place", "rem")).casefold()
    assert token.casefold() not in free or line.all_problems, got


@pytest.mark.parametrize("hour", range(24))
def test_no_hour_and_minute_with_a_point_becomes_a_frequency_unsaid(hour):
    """All times of the day, in a contact: a time with a remark, or a question; nothing is tuned by chance."""
    for minute in range(60):
        line = parse_line(f"kd7qsv 59 57 {hour:02d}.{minute:02d} rosa", CONTEXT)
        assert isinstance(line, ContactLine)
        assert line.hertz is None
        assert line.problems or (line.at and line.notices), line


SEPARATORS = ("/", "-", ",", ".", " ", ", ", ";", "; ", " / ", " - ", "&", " & ", " and ", "|")


@pytest.mark.parametrize("separator", SEPARATORS)
def test_two_reports_are_two_reports_whatever_stands_between(separator):
    """All pairs of readability 2 to 5: both reports as typed, or a question; never another field unsaid."""
    for sent in range(20, 60):
        for received in range(20, 60):
            if "0" in f"{sent % 10}{received % 10}":
                continue
            line = parse_line(f"kd7qsv {sent}{separator}{received} rosa", CONTEXT)
            assert isinstance(line, ContactLine)
            as_meant = (line.sent, line.received, line.name, line.hertz) == (
                str(sent),
                str(received),
                "rosa",
                None,
            )
            assert as_meant or line.problems or line.doubts, (sent, received, line)


ADVISED = re.compile(r"\bas ([a-z ]+?) write ([^,;]+)")
KINDS = {"a time": "at", "two reports": "rcvd", "a report": "sent", "a frequency": "mhz", "power": "w"}


@settings(deadline=None, max_examples=400)
@given(
    st.from_regex(r"[0-9]{1,2}[.,][0-9]{1,2}|[0-9]{4}|[2-5][1-9] w", fullmatch=True),
    st.sampled_from(["", "59 ", "59 57 "]),
)
def test_what_is_advised_is_understood_as_advised(figures, before):
    """Whoever types what the program proposes gets what it promised."""
    asked = parse_line(f"kd7qsv {before}{figures} rosa", CONTEXT)
    for problem in asked.problems:
        for kind, example in ADVISED.findall(problem):
            line = parse_line(f"kd7qsv {before}{example} rosa", CONTEXT)
            if kind in KINDS and not any("future" in words or "ago" in words for words in line.problems):
                assert KINDS[kind] in understood(line), (problem, example)
                assert not any("could be" in words or "not clear" in words for words in line.problems)


@settings(deadline=None, max_examples=300)
@given(st.sampled_from([one.text for one in TYPED]))
def test_the_likely_reading_is_clear(text):
    """What one key puts into the line is asked about no more."""
    line = parse_line(text, CONTEXT)
    if line.likely:
        again = parse_line(line.likely, CONTEXT)
        assert not again.likely
        assert len(again.problems) < len(line.problems)


@pytest.mark.parametrize("megahertz", ["146.52", "446.0", "50.125", "21.15", "14.25", "144.3"])
def test_a_frequency_alone_tunes(megahertz):
    """On a line of its own nothing else is possible."""
    line = parse_line(megahertz, CONTEXT)
    assert isinstance(line, TuningLine)
    assert band_of(line.hertz or 0) is not None
