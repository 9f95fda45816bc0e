"""A line is read back in short plain phrases."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from fieldtui.entry.grammar import parse_line
from fieldtui.entry.lines import Context
from fieldtui.entry.readback import describe

CONTEXT = Context(now=datetime(2026, 6, 14, 18, 50, tzinfo=UTC), mode="FM")


@pytest.mark.parametrize(
    ("text", "phrases"),
    [
        (
            "kd7qsv 59 57 cn94hb Rosa, Larkspur Flat",
            (
                "KD7QSV",
                "Kilo Delta Seven Quebec Sierra Victor",
                "sent 59",
                "received 57",
                "at CN94hb",
                "name Rosa",
                "place Larkspur Flat",
            ),
        ),
        (
            "w0qsl 144.39125 cw 0.5w -5m , , windy, card",
            (
                "W0QSL",
                "Whiskey Zero Quebec Sierra Lima",
                "remarks windy",
                "144.39125 MHz",
                "CW",
                "0.5 W",
                "made 2026-06-14 18:45 UTC",
                "card promised",
            ),
        ),
        ("k?7qsv", ("K?7QSV", "Kilo unknown Seven Quebec Sierra Victor")),
        ("146.55 fm 10w", ("from here on", "146.550 MHz", "FM", "10 W")),
        ("note lunch", ("note", "lunch")),
        ("heard qs? weak", ("heard", "QS?", "Quebec Sierra unknown", "weak")),
        ("fix 3 name Rosa", ("fix contact 3", "name to Rosa")),
        ("fix last mhz 446.0", ("fix the last contact", "frequency to 446.000 MHz")),
        ("fix 3 mhz -", ("fix contact 3", "frequency emptied")),
        ("fix 3 watts 5", ("fix contact 3", "power to 5 W")),
        ("fix 3 card no", ("fix contact 3", "no card promised")),
        ("fix 3 at 1842z", ("fix contact 3", "time to 2026-06-14 18:42 UTC")),
        ("undo", ("take back the newest thing that was done",)),
        ("id cw kd7qsv/p", ("call sign given", "in CW", "KD7QSV/P")),
        ("over", ("start or stop a transmission",)),
        ("channel 3", ("channel", "3")),
        ("here cn94 Larkspur Flat", ("here is", "CN94", "Larkspur Flat")),
        ("volts 12.850", ("12.85 V by meter",)),
        ("done", ("close the session",)),
        ("volts lots", ("volts",)),
        ("nonsense", ("not understood",)),
        ("  ", ()),
    ],
)
def test_phrases(text, phrases):
    """What is understood is said; what is missing is not mentioned."""
    assert describe(parse_line(text, CONTEXT)) == phrases
