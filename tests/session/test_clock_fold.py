"""Wrong clocks, clocks that are set, and what the true time of an event was."""

from __future__ import annotations

from datetime import timedelta

import pytest

from fieldtui.entry.grammar import parse_line
from fieldtui.entry.times import CLOCK_NOT_CHECKED
from fieldtui.journal.events import BatterySampled, ClockOffset, NoteWritten, SessionResumed
from fieldtui.journal.stamp import Stamp
from fieldtui.radio.channels.plan import Plan
from fieldtui.session.deeds import context_of, deed_of
from fieldtui.session.timeline import Moment, Timeline
from tests.session.making_lines import START, Outing, contact, ended, envelope_of, heard, opened, started

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
    assert shown["clock"]["trust"] == "wrong by about 1 h 00 min, corrected"
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
    ("step", "words"), [(3600.0, "set by 1 h 00 min"), (-90.0, "set by 90 s"), (1e5, "set by 27 h 47 min")]
)
def test_a_clock_that_was_set_is_noticed(step: float, words: str) -> None:
    outing = Outing().add(NOTE).at(100, NOTE)
    assert told(outing) == ("not checked", 0.0)
    outing.wall_off = step
    outing.at(200, NOTE).at(300, NOTE)
    said, seconds = told(outing)
    assert said == words
    assert seconds == pytest.approx(step)


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


# Times that were typed by a wrong clock

WRONG_SECONDS = 3 * 365 * 86_400 + 13 * 3600.0
"""A board that boots three years and some hours ago."""


def typed(outing: Outing, name: str, text: str) -> None:
    """A line as it is typed on the hill, at this moment."""
    state = outing.state
    line = parse_line(text, context_of(state, state.true_now(outing.stamp())))
    deed = deed_of(line, state, Plan("none", ()), lambda: name)
    assert not deed.refusal
    outing.add(*deed.events)


def made_at(outing: Outing, name: str = "c1") -> str:
    """When a contact was made, as it is shown."""
    (shown,) = [each["at"] for each in outing.summary()["contacts"] if each["id"] == name]
    return str(shown)


def on_a_wrong_clock(off_seconds: float = -WRONG_SECONDS) -> Outing:
    """An hour of a session, nothing measured yet."""
    outing = Outing()
    outing.wall_off = off_seconds
    return outing.add(opened()).at(3600, NOTE)


def measure(outing: Outing) -> None:
    """A receiver tells the time."""
    outing.at(outing.seconds + 60, ClockOffset(seconds=-outing.wall_off, source="position receiver"))


def test_minutes_ago_are_put_right_with_the_line_that_says_so() -> None:
    """Beside a contact that was logged just before it, on the same wrong clock."""
    outing = on_a_wrong_clock()
    typed(outing, "c1", "w0qsl")
    typed(outing, "c2", "kd7qsv -5m")
    assert made_at(outing, "c2") == "2023-06-15T04:55:00.000Z"
    measure(outing)
    assert made_at(outing, "c1") == "2026-06-14T18:00:00.000Z"
    assert made_at(outing, "c2") == "2026-06-14T17:55:00.000Z"


def test_a_time_of_day_gets_the_true_day() -> None:
    """The hour and the minute are the operator's word, the day was the clock's."""
    outing = on_a_wrong_clock()
    typed(outing, "c1", "w0qsl 1745z")
    assert made_at(outing) == "2023-06-14T17:45:00.000Z"
    measure(outing)
    assert made_at(outing) == "2026-06-14T17:45:00.000Z"


def test_corrected_times_are_put_right_too() -> None:
    """By the line that corrects; a whole date stands by itself, on any clock."""
    outing = on_a_wrong_clock()
    typed(outing, "c1", "w0qsl 59")
    outing.seconds += 600
    typed(outing, "x", "fix 1 at -20m")
    measure(outing)
    assert made_at(outing) == "2026-06-14T17:50:00.000Z"
    again = on_a_wrong_clock()
    typed(again, "c1", "w0qsl 59")
    typed(again, "x", "fix 1 at 1745z")
    measure(again)
    assert made_at(again) == "2026-06-14T17:45:00.000Z"
    typed(again, "x", "fix 1 at 2026-06-14T17:44Z")
    again.at(again.seconds + 60, ClockOffset(seconds=0.0, source="position receiver"))
    assert made_at(again) == "2026-06-14T17:44:00.000Z"


@pytest.mark.parametrize("off_hours", [-30, -24, -10, -1, -0.1, 0, 0.1, 0.9, 11, 25])
def test_whatever_the_clock_shows_the_day_is_the_true_one(off_hours: float) -> None:
    """Wherever a time of day was taken on the wrong clock, once that is measured it is of the last hours."""
    taken = 0
    for minutes_ago in (1, 9, 61, 300, 650):
        outing = on_a_wrong_clock(3600 * off_hours)
        when = START + timedelta(seconds=3600) - timedelta(minutes=minutes_ago)
        line = parse_line(f"w0qsl {when:%H%M}z", context_of(outing.state, outing.stamp().at))
        if deed_of(line, outing.state, Plan("none", ()), lambda: "c1").refusal:
            # In the future, by that clock: the operator is told what it shows.
            continue
        taken += 1
        typed(outing, "c1", line.text)
        measure(outing)
        assert made_at(outing) == f"{when:%Y-%m-%dT%H:%M}:00.000Z"
    assert taken


def test_a_time_read_from_a_clock_that_is_fast_stays_on_its_day() -> None:
    """Eight minutes ahead of the truth is a clock, not yesterday."""
    outing = on_a_wrong_clock(600.0)
    typed(outing, "c1", "w0qsl 1808z")
    measure(outing)
    assert made_at(outing) == "2026-06-14T18:08:00.000Z"


def test_a_time_of_day_that_was_right_stays_where_it_was_put() -> None:
    """Nearly a whole day ago, as the read-back said."""
    outing = Outing()
    outing.add(opened(), ClockOffset(seconds=0.0, source="position receiver")).at(6.8 * 3600, NOTE)
    typed(outing, "c1", "w0qsl 0010z")
    assert made_at(outing) == "2026-06-14T00:10:00.000Z"


def test_times_of_older_journals_stand_as_they_were_stated() -> None:
    """Without a word how they were meant."""
    outing = on_a_wrong_clock().add(contact("c1", at="2023-03-01T03:55:00Z", typed="w0qsl -5m"))
    measure(outing)
    assert made_at(outing) == "2023-03-01T03:55:00.000Z"


@pytest.mark.parametrize("ago", [-1.0, 1e12, 86_401.0])
def test_no_time_ago_is_passed_over(ago: float) -> None:
    """A journal by another hand."""
    outing = Outing().add(contact("c1", at="2026-06-14T16:55:00Z", ago_seconds=ago))
    assert made_at(outing) == "2026-06-14T16:55:00.000Z"


def test_it_is_said_that_the_day_is_by_a_clock_that_nothing_checked() -> None:
    """Until it is measured."""
    outing = on_a_wrong_clock()

    def remarks(text: str) -> tuple[str, ...]:
        state = outing.state
        return parse_line(text, context_of(state, state.true_now(outing.stamp()))).all_problems

    assert remarks("w0qsl 0445z") == (CLOCK_NOT_CHECKED,)
    assert remarks("w0qsl") == remarks("w0qsl -5m") == ()
    measure(outing)
    assert remarks("w0qsl 1745z") == ()


# The time off, known better


def cut_at(off_before: float, off_after: float, away: float = 300.0) -> Outing:
    """An over that owes its call, a power cut, and another boot; the clock of the first boot was measured."""
    outing = Outing()
    outing.wall_off = off_before
    outing.add(opened(), ClockOffset(seconds=-off_before, source="position receiver")).over(110, 120)
    outing.seconds = 120 + away
    return outing.reboot(wall_off=off_after).add(SessionResumed(program="fieldtui test"))


DAYS = 3 * 86_400.0


@pytest.mark.parametrize("off_before", [-DAYS, DAYS, -3600.0, 3600.0, 0.0])
def test_a_boot_that_was_set_right_is_as_far_away_as_it_was(off_before: float) -> None:
    """The first was days off, and that was measured: the truth is used, not what its clock showed."""
    outing = cut_at(off_before, 0.0)
    assert outing.left() == pytest.approx(710 - 420, abs=0.01)
    assert not outing.state.timeline.lost_time


@pytest.mark.parametrize("off", [-DAYS, DAYS, -3600.0, 3600.0])
def test_a_boot_that_is_as_wrong_as_the_one_before_is_as_far_away_as_it_was(off: float) -> None:
    """A clock kept by its battery, wrong all the time."""
    assert cut_at(off, off).left() == pytest.approx(710 - 420, abs=0.01)


@pytest.mark.parametrize(
    ("off_before", "off_after"), [(-3600.0, -3600.0), (-3600.0, 7200.0), (3600.0, -DAYS)]
)
def test_once_both_boots_are_measured_the_time_off_is_known(off_before: float, off_after: float) -> None:
    """Two hours off, whatever the clocks showed: the deadline, the length and the gap."""
    outing = cut_at(off_before, off_after, away=7200.0)
    sample = BatterySampled(feed="shunt", volts=13.0, amps=-1.0, covered_seconds=10.0, out_amp_seconds=10.0)
    outing.lines.insert(
        2, envelope_of(sample, Stamp(outing.lines[1].at, outing.lines[1].mono, outing.lines[1].boot), 3)
    )
    outing.at(7330, ClockOffset(seconds=-off_after, source="position receiver")).at(7340, sample)
    state = outing.state
    now = state.now(outing.stamp())
    assert state.identification.view(now).left_seconds == pytest.approx(710 - 7340, abs=0.01)
    assert state.identification.view(now).reason == "last sent 120 min 20 s ago"
    begun = state.opened_moment
    assert begun is not None
    assert state.timeline.between(begun.seconds, now) == pytest.approx(7340, abs=0.01)
    assert state.battery.gap_seconds == pytest.approx(7340 + 10 - 20, abs=0.01)
    assert outing.summary()["session"]["opened_at"] == "2026-06-14T17:00:00.000Z"
    due = outing.summary()["identification"]["due_at"]
    assert due is not None
    assert due[:19] == "2026-06-14T17:11:50"


def test_a_measurement_that_says_the_same_moves_nothing() -> None:
    outing = cut_at(0.0, 0.0).at(430, ClockOffset(seconds=0.4, source="position receiver"))
    state = outing.state
    assert state.timeline.between(0.0, state.now(outing.stamp())) == pytest.approx(430, abs=0.01)
    assert outing.left() == pytest.approx(710 - 430, abs=0.01)


def test_an_over_by_key_ends_with_its_boot() -> None:
    """Five hours without power are no transmission; the key that is pressed then begins another."""
    outing = Outing().add(opened()).at(10, started()).at(70, NOTE)
    outing.seconds = 5 * 3600
    outing.reboot().add(SessionResumed(program="fieldtui test"))
    state = outing.state
    assert not state.sending
    assert (state.battery.transmit_seconds, state.battery.overs) == pytest.approx((60, 1), abs=0.01)
    (over,) = state.power.overs
    assert over == pytest.approx((10, 70), abs=0.01)
    outing.at(5 * 3600 + 5, ended())
    assert outing.state.battery.transmit_seconds == pytest.approx(60, abs=0.01)
    outing.over(5 * 3600 + 10, 5 * 3600 + 25)
    assert outing.state.battery.transmit_seconds == pytest.approx(75, abs=0.01)


def test_an_over_that_the_shunt_told_ends_with_the_last_line_of_the_shunt() -> None:
    """Also on a board whose clock begins again, where nobody knows how long it was off."""
    sample = BatterySampled(feed="shunt", volts=12.9, amps=-8.0, covered_seconds=1.0)
    outing = Outing().add(opened()).at(10, sample, started(source="shunt")).at(20, sample).at(25, NOTE)
    outing.seconds = 5 * 3600
    outing.reboot(wall_off=-6 * 3600.0).add(SessionResumed(program="fieldtui test"))
    assert not outing.state.sending
    assert outing.state.battery.transmit_seconds == pytest.approx(10, abs=0.01)
    assert outing.state.identification.view(26.0).need == "due"
