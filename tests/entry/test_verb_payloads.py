"""Each verb gives its own record, and only when nothing stands against it."""

from __future__ import annotations

import pytest

from fieldtui.entry.grammar import parse_line
from fieldtui.entry.lines import Verb, VerbLine
from fieldtui.entry.payloads import Channel, Done, Field, Fix, Heard, Here, Identify, Note, Over, Undo, Volts


@pytest.mark.parametrize(
    ("text", "verb", "payload"),
    [
        ("note a, b", Verb.NOTE, Note("a, b")),
        ("heard kd7qs?", Verb.HEARD, Heard("KD7QS?", None)),
        ("fix 7 call w0qsl", Verb.FIX, Fix(7, Field.CALL, "W0QSL")),
        ("fix 7 watts 5w", Verb.FIX, Fix(7, Field.WATTS, 5.0)),
        ("fix 7 watts .5", Verb.FIX, Fix(7, Field.WATTS, 0.5)),
        ("fix 7 mode ssb", Verb.FIX, Fix(7, Field.MODE, "SSB")),
        ("fix 7 locator cn94HB", Verb.FIX, Fix(7, Field.LOCATOR, "CN94hb")),
        ("fix 7 remarks a, b, card", Verb.FIX, Fix(7, Field.REMARKS, "a, b, card")),
        ("fix LAST Card NO", Verb.FIX, Fix("last", Field.CARD, False)),
        ("undo", Verb.UNDO, Undo()),
        ("id", Verb.ID, Identify("phone", None)),
        ("id kd7qsv", Verb.ID, Identify("phone", "KD7QSV")),
        ("over", Verb.OVER, Over()),
        ("channel 12", Verb.CHANNEL, Channel("12")),
        ("here Jo", Verb.HERE, Here(None, "Jo")),
        ("here cn94", Verb.HERE, Here("CN94", None)),
        ("volts 13v", Verb.VOLTS, Volts(13.0)),
        ("volts 0", Verb.VOLTS, Volts(0.0)),
        ("volts 80", Verb.VOLTS, Volts(80.0)),
        ("done", Verb.DONE, Done()),
    ],
)
def test_payload(text, verb, payload):
    """Values are typed: whole numbers, floats, booleans, upper-case calls."""
    line = parse_line(text)
    assert isinstance(line, VerbLine)
    assert (line.verb, line.payload, line.problems) == (verb, payload, ())
    assert type(line.payload) is type(payload)


@pytest.mark.parametrize(
    "text",
    [
        "note",
        "heard",
        "heard 59",
        "fix",
        "fix 7",
        "fix 7 name",
        "fix 7 card maybe",
        "fix 7 card -",
        "fix 7 at -",
        "fix 7 mode loud",
        "fix 7 watts none",
        "fix 7 watts 0",
        "fix 7 watts 1e3",
        "fix 7 mhz 146,55",
        "fix 7 sent loud",
        "fix 7 call 59",
        "fix 7 call w0qsl kd7qsv",
        "fix 1000000 name x",
        "id cw data",
        "id k?7qsv",
        "channel",
        "here",
        "volts",
        "volts -12",
        "volts 80.01",
        "volts inf",
        "volts 12.8 12.9",
        "volts ١٢",
        "over now",
        "done for today",
    ],
)
def test_stopped_verb_has_a_reason_and_no_payload(text):
    """Whoever acts on a line needs to look at the payload only."""
    line = parse_line(text)
    assert isinstance(line, VerbLine)
    assert line.payload is None
    assert line.problems


def test_every_verb_alone_is_read():
    """A verb added to the list cannot be left without a reader."""
    assert [line.verb for verb in Verb if isinstance(line := parse_line(verb), VerbLine)] == list(Verb)
