"""The kind of a feed is recognised by listening."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldtui.feeds.any_feed import BYTES_IN_VAIN, AnyFeed
from fieldtui.feeds.nmea import NmeaSentences
from fieldtui.feeds.readings import BatteryReading, PositionReading, Problem
from fieldtui.feeds.recogniser import ShuntRecogniser
from tests.feeds.nmea_making import GSV, burst, gga, rmc, seconds
from tests.support.sender import frame

PLAIN = b"12.84,-0.25\n12.83,-0.26\n"
POSITION = b"".join(piece for at in seconds(3) for piece in burst(at))


def both() -> AnyFeed:
    return AnyFeed({"battery": ShuntRecogniser(), "position": NmeaSentences()})


@pytest.mark.parametrize(
    ("data", "kind", "reading"),
    [
        (frame(12.84, -0.25), "battery", BatteryReading),
        (PLAIN, "battery", BatteryReading),
        (POSITION, "position", PositionReading),
        (GSV * 3 + POSITION, "position", PositionReading),
        (b"\r\n30,1,08,0.9*47\r\n" + POSITION, "position", PositionReading),
    ],
)
@pytest.mark.parametrize("cut", [lambda data: [data], lambda data: [bytes([byte]) for byte in data]])
def test_a_kind_is_known_by_its_first_reading(
    data: bytes, kind: str, reading: type, cut: Callable[[bytes], list[bytes]]
) -> None:
    feed = both()
    items = [item for piece in cut(data) for item in feed.feed(piece)]
    assert feed.kind == kind
    assert {type(item) for item in items if not isinstance(item, Problem)} == {reading}


def test_what_is_recognised_is_what_its_own_parser_says() -> None:
    feed, alone = both(), NmeaSentences()
    assert feed.feed(POSITION) == alone.feed(POSITION)


def test_noise_is_of_no_kind_and_is_told_at_once() -> None:
    feed = both()
    items = feed.feed(bytes(range(128, 256)) * 4)
    assert feed.kind is None
    assert [item.code for item in items if isinstance(item, Problem)] == ["wrong_speed"]


def test_another_device_on_the_same_line_is_recognised_after_a_while() -> None:
    feed = both()
    feed.feed(POSITION)
    one = frame(12.84, -0.25)
    for _ in range(BYTES_IN_VAIN // len(one) + 2):
        feed.feed(one)
    assert feed.kind == "battery"


def test_a_reset_listens_to_all_again() -> None:
    feed = both()
    feed.feed(POSITION)
    feed.reset()
    assert feed.kind is None
    assert feed.feed(rmc(seconds(1)[0]) + gga(seconds(1)[0]))
    assert feed.kind == "position"
