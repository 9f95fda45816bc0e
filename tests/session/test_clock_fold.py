"""Wrong clocks, clocks that are set, and what the true time of an event was."""

from __future__ import annotations

from datetime import timedelta

import pytest

from fieldtui.journal.events import ClockOffset, NoteWritten
from fieldtui.session.timeline import Moment, Timeline
from tests.session.making_lines import START, Outing, contact, envelope_of, heard, opened

NOTE = NoteWritten(text="a")


def times(outing: Outing) -> list[str]:
    """When each note was written, as it is shown."""
    return [note["at"][11:19] for note in outing.summary()["notes"]]


def told(outing: Outing) -> tuple[str, float]:
    """What is said of the clock."""
    clock = outing.summary()["clock"]
    return clock["trust"], clock["stepped_seconds"]


def test_an_offset_corrects_what_came_before_it_and_after() -> None:
    """A board that booted an hour early; a position receiver tells at ten past."""
    outing = Outing()
    outing.wall_off = -3600.0
    outing.add(opened(), contact("c1"), heard("h1", "W?QRN"), NOTE)
    outing.at(600, ClockOffset(seconds=3600.0, source="position")).at(1200, NOTE)
    shown = outing.summary()
    assert shown["contacts"][0]["at"] == "2026-06-14T17:00:00.000Z"
    assert shown["heard"][0]["at"] == "2026-06-14T17:00:00.000Z"
    assert shown["session"]["opened_at"] == "2026-06-14T17:00:00.000Z"
    assert times(outing) == ["17:00:00", "17:20:00"]
    assert shown["clock"]["trust"] == "wrong by about 60 min, corrected"
    assert outing.state.true_now(outing.stamp()) == START + timedelta(seconds=1200)


def test_an_offset_is_of_its_own_boot_only() -> None:
    outing = Outing()
    outing.wall_off = -3600.0
    outing.add(NOTE, ClockOffset(seconds=3600.0))
    outing.seconds = 600
    outing.reboot().add(NOTE)
    outing.seconds = 1200
    outing.reboot(wall_off=60.0).add(ClockOffset(seconds=-60.0), NOTE)
    assert times(outing) == ["17:00:00", "17:10:00", "17:20:00"]


@pytest.mark.parametrize("measured", ["before the clock is set", "after the clock is set"])
def test_a_clock_that_is_set_in_between_does_not_matter_to_a_measured_boot(measured: str) -> None:
    """Measured at one moment, every event of the boot is placed from there by the monotonic clock."""
    outing = Outing()
    outing.wall_off = -3600.0
    outing.add(opened(), NOTE)
    if measured == "before the clock is set":
        outing.at(300, ClockOffset(seconds=3600.0))
    outing.at(600, NOTE)
    outing.wall_off = 0.0
    outing.at(900, NOTE)
    if measured == "after the clock is set":
        outing.at(1000, ClockOffset(seconds=0.0))
    outing.at(1200, NOTE)
    assert times(outing) == ["17:00:00", "17:10:00", "17:15:00", "17:20:00"]
    assert outing.summary()["clock"]["trust"] == "trusted (operator)"


def test_a_later_measurement_replaces_the_first() -> None:
    outing = (
        Outing().add(NOTE, ClockOffset(seconds=100.0)).at(10, ClockOffset(seconds=7.0, source="position"))
    )
    assert times(outing) == ["17:00:07"]
    assert outing.summary()["clock"]["trust"] == "wrong by about 7 s, corrected"


def test_a_stated_time_needs_no_correction() -> None:
    """The operator read his watch."""
    outing = Outing().add(contact("c1", at="2026-06-14T16:40:00Z"), ClockOffset(seconds=3600.0))
    assert outing.summary()["contacts"][0]["at"] == "2026-06-14T16:40:00.000Z"


@pytest.mark.parametrize(
    ("step", "words"), [(3600.0, "set by 60 min"), (-90.0, "set by 90 s"), (1e5, "set by 27.8 h")]
)
def test_a_clock_that_was_set_is_noticed(step: float, words: str) -> None:
    outing = Outing().add(NOTE).at(100, NOTE)
    assert told(outing) == ("not checked", 0.0)
    outing.wall_off = step
    outing.at(200, NOTE).at(300, NOTE)
    assert told(outing) == (words, pytest.approx(step))


def test_a_clock_that_is_a_little_off_was_not_set() -> None:
    """Slewing by network time, and lines written a moment after their stamp."""
    outing = Outing()
    for number in range(100):
        outing.wall_off = (number % 3) * 0.6
        outing.at(number * 60.0, NOTE)
    assert outing.state.clock.stepped_seconds == 0.0


def test_a_boot_is_no_step() -> None:
    outing = Outing().add(NOTE)
    outing.seconds = 100
    outing.reboot(wall_off=5000.0).add(NOTE)
    assert outing.state.clock.stepped_seconds == 0.0


def test_only_a_measured_boot_is_called_measured() -> None:
    outing = Outing().add(NOTE)
    assert not outing.state.clock.measured(outing.boot)
    outing.add(ClockOffset(seconds=0.2, source="position"))
    assert outing.state.clock.measured(outing.boot)
    assert not outing.state.clock.measured("another")


# One line of seconds


def seconds(outing: Outing) -> list[float]:
    """The session's seconds of every line."""
    timeline = Timeline()
    return [round(timeline.advance(line).seconds, 3) for line in outing.lines]


def test_the_first_line_is_second_zero() -> None:
    assert seconds(Outing().at(123, NOTE).at(130.5, NOTE)) == [0.0, 7.5]


def test_within_a_boot_only_the_monotonic_clock_counts() -> None:
    outing = Outing().add(NOTE)
    for number, wall_off in enumerate((0.0, 3600.0, -86_400.0, 1e8), 1):
        outing.wall_off = wall_off
        outing.at(10.0 * number, NOTE)
    assert seconds(outing) == [0.0, 10.0, 20.0, 30.0, 40.0]


def test_lines_written_out_of_order_keep_their_own_moment() -> None:
    """Two programs write; one waited for the lock."""
    assert seconds(Outing().at(0, NOTE).at(10, NOTE).at(4, NOTE).at(12, NOTE)) == [0.0, 10.0, 4.0, 12.0]


def test_between_boots_the_wall_clock_is_all_there_is() -> None:
    outing = Outing().at(0, NOTE).at(100, NOTE)
    outing.seconds = 400
    outing.reboot().add(NOTE).at(500, NOTE)
    assert seconds(outing) == [0.0, 100.0, 400.0, 500.0]


def test_a_bridge_is_never_negative() -> None:
    outing = Outing().at(0, NOTE).at(100, NOTE)
    outing.seconds = 400
    outing.reboot(wall_off=-1e6).add(NOTE).at(500, NOTE)
    assert seconds(outing) == [0.0, 100.0, 100.0, 200.0]
    timeline = Timeline()
    lost = []
    for line in outing.lines:
        timeline.advance(line)
        lost.append(timeline.lost_time)
    assert lost == [False, False, True, False]


def test_a_boot_that_comes_back_keeps_its_place() -> None:
    """A journal that two machines write to in turn, on a shared disk."""
    outing = Outing().at(0, NOTE)
    first, booted = outing.boot, outing.booted
    outing.seconds = 50
    outing.reboot().add(NOTE)
    outing.boot, outing.booted = first, booted
    outing.at(60, NOTE)
    assert seconds(outing) == [0.0, 50.0, 60.0]


def test_a_moment_can_be_moved_along_its_clock() -> None:
    moment = Moment(10.0, START, "b", 3)
    assert moment.moved_to(70.0) == Moment(70.0, START + timedelta(seconds=60), "b", 3)
    assert moment.moved_to(1e12) == Moment(1e12, START, "b", 3)


def test_a_line_of_this_boot_places_a_monotonic_time() -> None:
    timeline = Timeline()
    outing = Outing().at(30, NOTE)
    timeline.advance(envelope_of(NOTE, outing.stamp(), 1))
    assert timeline.seconds_of(outing.stamp().mono_seconds - 4, outing.boot) == pytest.approx(-4)
