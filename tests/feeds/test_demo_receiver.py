"""The demo's receiver walks to the spring and back, as any receiver would tell it."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from fieldtui.demo.outing import LAST_SECONDS, outing
from fieldtui.demo.pace import PacedClock
from fieldtui.demo.receivers import StandInReceiver
from fieldtui.demo.virtual_port import PtyPort
from fieldtui.feeds.nmea import NmeaSentences
from fieldtui.feeds.readings import PositionReading
from fieldtui.radio.geodesy import path_between
from fieldtui.radio.locator import locator_of

START = datetime(2026, 6, 14, 16, 50, tzinfo=UTC)


def where(reading: PositionReading) -> tuple[float, float]:
    """The place of a reading that has one."""
    assert reading.lat_deg is not None
    assert reading.lon_deg is not None
    return reading.lat_deg, reading.lon_deg


def test_it_goes_at_the_pace_of_a_person_and_is_back_before_the_next_contact(tmp_path: Path) -> None:
    scene, parser = outing(), NmeaSentences()
    receiver = StandInReceiver(PtyPort(tmp_path / "sky"), scene, PacedClock(1.0, start=START))
    places: dict[float, PositionReading] = {}
    for second in range(0, int(LAST_SECONDS), 5):
        for item in parser.feed(receiver.sentences(START + timedelta(seconds=second), float(second))):
            assert isinstance(item, PositionReading)
            places[second] = item
    first = where(places[5])
    away = {second: path_between(*first, *where(place)).distance_m for second, place in places.items()}
    assert max(away.values()) == pytest.approx(175.6, abs=2)
    assert max(place.speed_m_s or 0 for place in places.values()) < 2
    assert {locator_of(place.lat_deg or 0, place.lon_deg or 0, 6) for place in places.values()} == {"CN94fl"}
    walked = [second for second, metres in away.items() if metres > 5]
    typed = [line.at_seconds for line in scene.lines]
    assert not [at for at in typed if walked[0] < at < walked[-1]]
    assert away[max(away)] < 1
