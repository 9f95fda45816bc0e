"""`fieldtui parse` as a shell calls it."""

from __future__ import annotations

import pytest

KEYS = {
    "kind", "call", "sent", "received", "locator", "name", "place", "remarks", "hertz", "mode", "watts", "at",
    "card", "problems",
}  # fmt: skip


@pytest.mark.parametrize("line", ["kd7qsv 59 57", "note wind", "146.52 fm", "gibberish", ""])
def test_every_line_gives_all_keys_and_exit_code_0(call, line):
    told = call("parse", "--json", line)
    assert told.code == 0
    assert set(told.object) >= KEYS


@pytest.mark.parametrize(
    "words",
    [
        ("--json", "kd7qsv", "-12", "-8"),
        ("kd7qsv", "-12", "-8", "--json"),
        ("kd7qsv", "-12", "--json", "-8"),
        ("--json", "--", "kd7qsv", "-12", "-8"),
    ],
    ids=" ".join,
)
def test_reports_with_a_minus_are_words(run, words):
    told = run("parse", *words).object
    assert (told["call"], told["sent"], told["received"]) == ("KD7QSV", "-12", "-8")


def test_after_two_minus_signs_everything_is_the_line(run):
    """A line that begins with a minus, or holds what looks like an option."""
    assert run("parse", "--json", "--", "-12", "kd7qsv").object["kind"] == "unclear"
    assert run("parse", "--json", "--", "note", "--json", "is", "an", "option").object["text"] == (
        "--json is an option"
    )


def test_types_are_those_of_the_contract(run):
    told = run(
        "parse", "--json", "kd7qsv 59+20 57 cn94HB 146.55 fm 10w -5m Rosa, Larkspur Flat, bicycle, card"
    ).object
    assert told["sent"] == "59+20"
    assert told["hertz"] == 146_550_000
    assert isinstance(told["hertz"], int)
    assert (told["mode"], told["watts"], told["locator"], told["card"]) == ("FM", 10, "CN94hb", True)
    assert told["at"].endswith("Z")
