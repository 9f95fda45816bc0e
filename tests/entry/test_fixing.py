"""What `fix` takes: several contacts, everyday names of fields, kHz by habit, and words for taking back."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldtui.entry.grammar import parse_line
from fieldtui.entry.lines import UnclearLine, VerbLine
from fieldtui.entry.payloads import Field, Fix, FixValue, Redo, Undo, Which


def fix_of(text: str) -> Fix:
    """What a line that can be done asks for."""
    line = parse_line(text)
    assert isinstance(line, VerbLine), line
    assert isinstance(line.payload, Fix), line.problems
    return line.payload


def problem_of(text: str) -> str:
    """Why a line cannot be done."""
    line = parse_line(text)
    assert isinstance(line, VerbLine | UnclearLine)
    assert not isinstance(line, VerbLine) or line.payload is None
    return "; ".join(line.problems)


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("3", 3), ("#3", 3), ("3-15", ((3, 15),)), ("3 - 15", ((3, 15),)), ("3 to 15", ((3, 15),)),
        ("15-3", ((3, 15),)), ("3,5,9", ((3, 3), (5, 5), (9, 9))), ("3, 5 and 9", ((3, 3), (5, 5), (9, 9))),
        ("3 5 9", ((3, 3), (5, 5), (9, 9))), ("2-4,9", ((2, 4), (9, 9))), ("last", "last"), ("ALL", "all"),
        ("ke7qhi", "KE7QHI"), ("vp2m/k1qrn", "VP2M/K1QRN"),
    ],
)  # fmt: skip
def test_which_contacts(text: str, number: Which) -> None:
    assert fix_of(f"fix {text} name Lola").number == number


@pytest.mark.parametrize(
    ("text", "field", "value"),
    [
        ("freq 146.52", Field.MHZ, 146_520_000), ("frequency: 146.52", Field.MHZ, 146_520_000),
        ("khz 146520", Field.MHZ, 146_520_000), ("freq 7030 khz", Field.MHZ, 7_030_000),
        ("mhz 146520mhz", Field.MHZ, 146_520_000_000), ("mhz 1296.2", Field.MHZ, 1_296_200_000),
        ("mhz 10368", Field.MHZ, 10_368_000_000), ("grid cn94", Field.LOCATOR, "CN94"),
        ("qth Larkspur Flat", Field.PLACE, "Larkspur Flat"), ("op Rosa", Field.NAME, "Rosa"),
        ("rcvd 57", Field.RECEIVED, "57"), ("qsl", Field.CARD, True), ("card", Field.CARD, True),
        ("qsl no", Field.CARD, False), ("power 5w", Field.WATTS, 5.0), ("comment on a bicycle", Field.REMARKS, "on a bicycle"),
    ],
)  # fmt: skip
def test_everyday_names_of_fields(text: str, field: Field, value: FixValue) -> None:
    fix = fix_of(f"fix 3-5 {text}")
    assert (fix.field, fix.value) == (field, value)


def test_both_reports_have_one_word() -> None:
    assert fix_of("fix 3 rst 59 57").values == {Field.SENT: "59", Field.RECEIVED: "57"}
    assert "sent or received?" in problem_of("fix 3 rst 57")


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("fix last mhz 146520", "146520 kHz = 146.520 MHz?"),
        ("fix last freq 7030", "7030 kHz = 7.030 MHz?"),
        ("fix 3-5 call w0qsl", "one after the other"),
        ("fix 0-3 name Ada", "begins with 1"),
        ("fix 3 band 2m", "is not a field"),
        ("fix 3", "fix which field?"),
        ("fix", "fix which contact?"),
        ("fix 3 freq", "frequency to what?"),
    ],
)
def test_what_is_asked_or_refused(text: str, why: str) -> None:
    assert why in problem_of(text)


@pytest.mark.parametrize(
    "text",
    ["delete last", "cancel w0qsl", "scratch that", "oops", "nvm", "correction", "borrar", "Delete: 3"],
)
def test_words_for_taking_back_are_answered(text: str) -> None:
    assert "undo takes the newest back; fix last name Rose corrects" in problem_of(text)


@pytest.mark.parametrize(
    ("text", "payload"), [("undo last", Undo()), ("undo that", Undo()), ("redo it", Redo())]
)
def test_the_newest_may_be_named(text: str, payload: Undo | Redo) -> None:
    line = parse_line(text)
    assert isinstance(line, VerbLine)
    assert line.payload == payload


@given(
    st.lists(st.tuples(st.integers(1, 999), st.integers(1, 999)), min_size=1, max_size=5),
    st.sampled_from([", ", ",", " "]),
)
def test_any_spans_are_read_as_they_were_written(spans: list[tuple[int, int]], between: str) -> None:
    text = between.join(f"{first}-{last}" for first, last in spans)
    wanted = tuple((min(span), max(span)) for span in spans)
    one = wanted[0][0] if len(wanted) == 1 and wanted[0][0] == wanted[0][1] else wanted
    assert fix_of(f"fix {text} name Ada").number == one
