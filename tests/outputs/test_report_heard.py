"""The way and the packets in the report."""

from __future__ import annotations

import math

from fieldtui.journal.event_types import Event
from fieldtui.journal.packet_events import PacketHeard
from fieldtui.journal.position_events import PositionFixed
from fieldtui.radio.geodesy import path_between
from tests.outputs.reporting import HOSTILE, assert_harmless, page_of, story_of, words_of
from tests.packets.making import at, heard
from tests.session.making_lines import Outing, opened


def page_with(*events: Event) -> str:
    """A page about a session in which these happened, a minute apart."""
    outing = Outing().add(opened())
    for number, event in enumerate(events, 1):
        outing.at(60.0 * number, event)
    return page_of(story_of(outing.lines))


def fixed(lat_deg: float, lon_deg: float) -> PositionFixed:
    return PositionFixed(feed="gps", lat_deg=lat_deg, lon_deg=lon_deg, height_metres=1284.0, fix="autonomous")


def test_a_walk_is_drawn_with_its_length() -> None:
    steps = [(44.30 + 0.01 * number, -121.50) for number in range(5)]
    text = page_with(*(fixed(*step) for step in steps))
    length = path_between(*steps[0], *steps[-1]).distance_m
    assert f"5 places recorded, {length / 1000:.1f} km from the first to the last" in words_of(text)
    assert "1284 m" in text
    assert 'aria-label="The way of the station' in text


def test_a_station_that_stays_has_no_drawing() -> None:
    text = page_with(*(fixed(44.3 + 1e-5 * math.sin(number), -121.5) for number in range(9)))
    assert "The station stayed where it was" in words_of(text)
    assert "The way of the station" not in text


def test_packets_are_listed_with_way_and_words() -> None:
    text = page_with(
        heard("W0QSL-9", at(44.60, -121.30)), heard("W0QSL-9", b":KD7QSV   :half an hour late{12")
    )
    words = words_of(text)
    assert "Messages to this station" in words
    assert "half an hour late" in words
    assert "km" in words


def test_what_came_over_the_air_stays_text() -> None:
    frames = [heard("KD7QSV-9", b">" + text.encode()[:200]) for text in HOSTILE]
    assert_harmless(page_with(*frames, PacketHeard(feed="packet", frame="zz")))
