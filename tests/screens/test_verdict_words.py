"""What the screen says of a frequency, at the place of the session."""

from __future__ import annotations

import pytest

from fieldtui.journal.events import PlaceSet
from fieldtui.radio.channels.channel import Channel
from fieldtui.screens.views.verdicts import channel_words
from tests.session.making_lines import Outing, opened

BELOW_430 = Channel(1, "70 cm", 425_000_000, 425_000_000, "FM")


@pytest.mark.parametrize(
    ("locator", "words"),
    [
        ("CN94hb", ""),
        ("CN88", "not for this licence: north of Line A"),
        ("FN54", "depends: Line A may cross"),
    ],
)
def test_of_the_place_of_the_session_every_part_counts(locator: str, words: str) -> None:
    """47 CFR 97.303(m): most of FN54 lies south of Line A, its north-west corner north of it."""
    state = Outing().add(opened(rule="us"), PlaceSet(locator=locator)).state
    told = channel_words(BELOW_430, state, "general")
    assert told.startswith(words)
    assert bool(told) is bool(words)
