"""All published streams, whole, byte by byte, cut at random, and through the recogniser."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldtui.feeds.label_frames import LabelFrames
from fieldtui.feeds.plain_lines import PlainLines
from fieldtui.feeds.readings import BatteryReading, Item, Problem
from fieldtui.feeds.recogniser import ShuntRecogniser

NAMES = {
    "volts": "volts",
    "amps": "amps",
    "used_ah": "used_amp_hours",
    "soc_percent": "charge_percent",
    "ttg_min": "minutes_left",
    "temp_c": "temperature_c",
    "alarm": "alarm",
}
ROUNDED_WATT = 0.5
"""The senders state whole watts; volts times amps must round to the same."""


def parser_for(vector: dict[str, Any]) -> LabelFrames | PlainLines:
    return LabelFrames() if vector["kind"] == "tab" else PlainLines()


def expected(vector: dict[str, Any]) -> list[dict[str, Any]]:
    """The readings of a vector; a frame without any battery quantity gives none."""
    return [reading for reading in vector["readings"] if reading]


def assert_as_published(vector: dict[str, Any], items: list[Item]) -> None:
    found = [item for item in items if isinstance(item, BatteryReading)]
    assert len(expected(vector)) == len(found)
    for wanted, reading in zip(expected(vector), found, strict=True):
        for name, ours in NAMES.items():
            assert wanted.get(name) == getattr(reading, ours), name
        if "watts" in wanted:
            assert wanted["watts"] == pytest.approx(reading.watts, abs=ROUNDED_WATT)
    assert sorted(vector["problems"]) == sorted(item.code for item in items if isinstance(item, Problem))


def test_whole(vector: dict[str, Any]):
    parser = parser_for(vector)
    assert_as_published(vector, parser.feed(bytes.fromhex(vector["hex"])))
    assert parser.pending is vector["pending"]


def test_byte_by_byte(vector: dict[str, Any]):
    parser = parser_for(vector)
    items = [item for byte in bytes.fromhex(vector["hex"]) for item in parser.feed(bytes([byte]))]
    assert_as_published(vector, items)
    assert parser.pending is vector["pending"]


@given(data=st.data())
@settings(deadline=None, max_examples=15)
def test_cut_at_random(vector: dict[str, Any], data: st.DataObject):
    stream = bytes.fromhex(vector["hex"])
    cuts = sorted(data.draw(st.lists(st.integers(0, len(stream)), max_size=6)))
    parser, items = parser_for(vector), []
    for start, end in zip([0, *cuts], [*cuts, len(stream)], strict=True):
        items += parser.feed(stream[start:end])
    assert_as_published(vector, items)


def test_with_the_beginning_of_more(vector: dict[str, Any]):
    """Trailing bytes of a next frame or line change nothing and are held."""
    parser = parser_for(vector)
    more = b"\r\nV\t12" if vector["kind"] == "tab" else b"12.8"
    assert_as_published(vector, parser.feed(bytes.fromhex(vector["hex"]) + more))
    assert parser.pending


@pytest.mark.parametrize("size", [1, 7, 10_000])
def test_the_recogniser_loses_nothing(vector: dict[str, Any], size: int):
    """A good frame, or two lines that agree, are enough; then all that was said before comes, too."""
    stream = bytes.fromhex(vector["hex"])
    enough = any(vector["readings"]) if vector["kind"] == "tab" else len(vector["readings"]) > 1
    recogniser, items = ShuntRecogniser(), []
    for start in range(0, len(stream), size):
        items += recogniser.feed(stream[start : start + size])
    if enough:
        assert_as_published(vector, items)
    else:
        assert items == []
