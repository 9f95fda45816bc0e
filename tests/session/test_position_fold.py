"""Where the station is and was, as the journal has it; and how far its time can be trusted."""

from __future__ import annotations

from datetime import timedelta
from itertools import pairwise
from typing import Any

import pytest

from fieldtui.journal.events import ClockOffset, FeedChanged, NoteWritten
from fieldtui.journal.position_events import PositionFixed
from fieldtui.radio.units import span_words
from fieldtui.session.clock_words import clock_words
from fieldtui.session.position import MOST_TRACK_POINTS
from tests.session.making_lines import START, Outing, opened

NOTE = NoteWritten(text="a")
RECEIVER = "position receiver"


def fixed(lat_deg: float = 47.608538, lon_deg: float = 11.918078, **changes: Any) -> PositionFixed:
    told = {
        "height_metres": 884.2,
        "fix": "autonomous",
        "satellites": 8,
        "hdop": 0.9,
        "dimensions": 3,
        **changes,
    }
    return PositionFixed(feed="gps", lat_deg=lat_deg, lon_deg=lon_deg, **told)


def test_the_last_fix_is_shown_with_its_locator_and_its_age() -> None:
    """The locator of 47.6085 N, 11.9181 E, worked out by hand: (191.9181/20, 137.6085/10) is JN57, and so on."""
    outing = Outing().add(opened()).at(60, fixed(47.0)).at(120, fixed()).at(150, NOTE)
    shown = outing.summary()["position"]
    assert shown == {
        "locator": "CN94hb", "place": None, "lat_deg": 47.608538, "lon_deg": 11.918078, "height_m": 884.2,
        "fix": "autonomous", "dimensions": 3, "satellites": 8, "hdop": 0.9, "fix_locator": "JN57xo",
        "fix_locator_8": "JN57xo06", "fixed_at": "2026-06-14T17:02:00.000Z", "age_seconds": 30.0,
        "track_points": 2, "feed": None,
    }  # fmt: skip


def test_without_a_receiver_nothing_is_known() -> None:
    shown = Outing().add(opened()).summary()["position"]
    assert {name for name, value in shown.items() if value not in (None, 0)} == {"locator"}


def test_a_fix_does_not_move_the_station_by_itself() -> None:
    """The operator says where contacts are made from: a car may carry the receiver past three squares."""
    assert Outing().add(opened(), fixed()).summary()["session"]["locator"] == "CN94hb"


@pytest.mark.parametrize(("lat_deg", "lon_deg"), [(91.0, 0.0), (0.0, 181.0), (-1e12, 1e12)])
def test_a_place_that_is_none_is_passed_over(lat_deg: float, lon_deg: float) -> None:
    state = Outing().add(opened(), fixed(), fixed(lat_deg, lon_deg)).state
    assert state.position.fix == fixed()


def test_the_poles_and_the_date_line_have_a_locator() -> None:
    for lat_deg, lon_deg in ((90.0, 180.0), (-90.0, -180.0), (0.0, 0.0)):
        assert Outing().add(fixed(lat_deg, lon_deg)).state.position.locator(8) is not None


def test_a_long_way_is_thinned_and_kept_from_end_to_end() -> None:
    outing, count = Outing().add(opened()), 5 * MOST_TRACK_POINTS
    state = outing.state
    for number in range(count):
        outing.lines.clear()
        outing.seconds = 10.0 * number
        outing.add(fixed(47.0 + number / count))
        state.apply_all(outing.lines)
    track = state.position.track
    assert MOST_TRACK_POINTS / 2 <= len(track) <= MOST_TRACK_POINTS
    lats = [point.lat_deg for point in track]
    assert lats == sorted(lats)
    assert (lats[0], lats[-1]) == (47.0, 47.0 + (count - 1) / count)
    gaps = [round((b - a) * count) for a, b in pairwise(lats[:-1])]
    assert set(gaps) == {8}, "every eighth, evenly"


def test_the_state_of_the_receiver_is_its_own() -> None:
    outing = Outing().add(opened())
    outing.add(FeedChanged(feed="gps", url="/dev/ttyACM0", condition="no_fix", words="give it the sky"))
    state = outing.state
    assert (state.position.condition, state.position.words) == ("no_fix", "give it the sky")
    assert state.battery.condition is None


# Words of trust


def words(outing: Outing) -> str:
    return clock_words(outing.state)


def test_a_clock_that_was_never_compared() -> None:
    outing = Outing().add(opened(), NOTE)
    assert words(outing) == "system clock, not checked"
    assert outing.summary()["clock"]["source"] is None
    outing.wall_off = 3600.0
    outing.at(10, NOTE)
    assert words(outing) == "system clock, set by 1 h 00 min on the way, not checked"


@pytest.mark.parametrize(
    ("offset", "said"),
    [
        (
            ClockOffset(seconds=0.1, uncertainty_seconds=0.5, source=RECEIVER),
            "time from the receiver, within 0.5 s",
        ),
        (
            ClockOffset(seconds=11_820.0, uncertainty_seconds=20.0, source=RECEIVER),
            "time from the receiver, within 20 s; the system clock is 3 h 17 min slow",
        ),
        (
            ClockOffset(seconds=-90.0, uncertainty_seconds=0.5, source=RECEIVER),
            "time from the receiver, within 0.5 s; the system clock is 90 s fast",
        ),
        (
            ClockOffset(seconds=0.0, uncertainty_seconds=0.5, source="position receiver, 1024 weeks added"),
            "time from the receiver (1024 weeks added to its date), within 0.5 s",
        ),
        (
            ClockOffset(seconds=0.0, uncertainty_seconds=1.0, source="network"),
            "system clock, kept by network time, within 1.0 s",
        ),
        (ClockOffset(seconds=5.0), "time from the operator; the system clock is 5 s slow"),
    ],
)
def test_where_the_time_comes_from_and_how_exact_it_is(offset: ClockOffset, said: str) -> None:
    assert words(Outing().add(opened(), offset)) == said


def test_trust_fades_when_the_receiver_is_gone() -> None:
    """A hundred parts in a million are 2.9 s in eight hours; with a fix the clock is compared all the time."""
    offset = ClockOffset(seconds=0.1, uncertainty_seconds=0.5, source=RECEIVER)
    gone = Outing().add(opened(), offset).at(8 * 3600, NOTE)
    assert words(gone) == "time from the receiver, within 3.4 s"
    there = Outing().add(opened(), offset).at(8 * 3600 - 60, fixed()).at(8 * 3600, NOTE)
    assert words(there) == "time from the receiver, within 0.5 s"


def test_another_boot_is_not_trusted_by_what_was_found_before() -> None:
    outing = Outing().add(opened(), ClockOffset(seconds=0.1, uncertainty_seconds=0.5, source=RECEIVER))
    outing.seconds = 600
    outing.reboot().add(NOTE)
    assert words(outing) == "system clock, not checked"


@pytest.mark.parametrize(
    ("seconds", "said"),
    [
        (7.4, "7 s"),
        (-119, "0 s"),
        (119, "119 s"),
        (120, "2 min"),
        (7199, "2 h 00 min"),
        (11_820, "3 h 17 min"),
        (7168 * 86400, "7168 days"),
    ],
)
def test_amounts_of_time_in_their_own_size(seconds: float, said: str) -> None:
    assert span_words(seconds) == said


def test_the_track_has_true_times() -> None:
    """Points that were written before the clock was known are put right with the rest of their boot."""
    outing = Outing()
    outing.wall_off = -11_820.0
    outing.add(opened()).at(60, fixed()).at(120, ClockOffset(seconds=11_820.0, source=RECEIVER))
    state = outing.state
    (point,) = state.position.track
    assert state.true_at(point.moment) == START + timedelta(seconds=60)
