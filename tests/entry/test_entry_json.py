"""The object that `parse --json` prints."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone

import pytest

from fieldtui.entry.asjson import to_json
from fieldtui.entry.grammar import parse_line
from fieldtui.entry.lines import Context

KEYS = (
    "kind", "call", "sent", "received", "locator", "name", "place", "remarks",
    "hertz", "mode", "watts", "at", "card", "problems",
)  # fmt: skip
CONTEXT = Context(now=datetime(2026, 6, 14, 18, 50, 30, 250000, tzinfo=UTC), mode="FM")


def test_contact_in_full():
    """All keys in their order, with the types a script relies on."""
    line = parse_line(
        "kd7qsv 59+20 -12 cn94HB 146.55 fm 10w -5m Rosa, Larkspur Flat, on a bicycle, card", CONTEXT
    )
    assert list(to_json(line).items()) == [
        ("kind", "contact"),
        ("call", "KD7QSV"),
        ("sent", "59+20"),
        ("received", "-12"),
        ("locator", "CN94hb"),
        ("name", "Rosa"),
        ("place", "Larkspur Flat"),
        ("remarks", "on a bicycle"),
        ("hertz", 146550000),
        ("mode", "FM"),
        ("watts", 10.0),
        ("at", "2026-06-14T18:45:30.250Z"),
        ("card", True),
        ("problems", ["-12: decibels alone are for data modes, not for FM"]),
    ]


def test_bare_contact_has_null_for_what_was_not_given():
    """A missing card is false, since none was promised; anything else missing is null."""
    plain = to_json(parse_line("kd7qsv"))
    assert tuple(plain) == KEYS
    assert plain == dict.fromkeys(KEYS) | {"kind": "contact", "call": "KD7QSV", "card": False, "problems": []}


@pytest.mark.parametrize(
    ("text", "given"),
    [
        ("note lunch", {"verb": "note", "text": "lunch"}),
        ("heard k?7qsv weak", {"verb": "heard", "call": "K?7QSV", "text": "weak"}),
        ("fix last mhz 146.55", {"verb": "fix", "number": "last", "field": "hertz", "value": 146550000}),
        ("fix 2 at 1842z", {"verb": "fix", "number": 2, "field": "at", "value": "2026-06-14T18:42:00.000Z"}),
        ("fix 2 place -", {"verb": "fix", "number": 2, "field": "place", "value": None}),
        ("undo", {"verb": "undo"}),
        ("id cw", {"verb": "id", "method": "cw", "said": None}),
        ("over", {"verb": "over"}),
        ("channel Larkspur", {"verb": "channel", "channel": "Larkspur"}),
        ("here cn94 Larkspur", {"verb": "here", "locator": "CN94", "place": "Larkspur"}),
        ("volts 12.85", {"verb": "volts", "volts": 12.85}),
        ("done", {"verb": "done"}),
        ("146.55 fm 10w", {"verb": "tune", "hertz": 146550000, "mode": "FM", "watts": 10.0}),
    ],
)
def test_verb_adds_what_it_asks_for(text, given):
    """All keys of a contact stand there too, so that one script reads every line."""
    assert (
        to_json(parse_line(text, CONTEXT)) == dict.fromkeys(KEYS) | {"kind": "verb", "problems": []} | given
    )


def test_time_is_utc_whatever_the_zone_of_the_clock():
    """A script never has to ask which zone was meant."""
    clock = Context(now=CONTEXT.now.astimezone(timezone(timedelta(hours=-7))) if CONTEXT.now else None)
    assert to_json(parse_line("kd7qsv -5m", clock))["at"] == "2026-06-14T18:45:30.250Z"
    assert to_json(parse_line("kd7qsv 1842z", clock))["at"] == "2026-06-14T18:42:00.000Z"


@pytest.mark.parametrize("text", ["59 57", "nonsense", "", "x" * 2000])
def test_what_is_not_understood_says_why(text):
    """Kind unclear, and never without a reason."""
    plain = to_json(parse_line(text))
    assert tuple(plain) == KEYS
    assert plain["kind"] == "unclear"
    assert len(plain["problems"]) == 1


def test_stopped_verb_keeps_its_name_and_says_why():
    """A script sees which verb was meant."""
    plain = to_json(parse_line("volts 12,85"))
    assert plain["verb"] == "volts"
    assert plain["problems"] == ["write 12.85 with a point, not 12,85"]


def test_problems_hold_stops_first_then_remarks():
    """One list for both, since the contract has one key."""
    plain = to_json(parse_line("k?7qsv 99"))
    assert [problem.split()[0] for problem in plain["problems"]] == ["K?7QSV", "99:"]
