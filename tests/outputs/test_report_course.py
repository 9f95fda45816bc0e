"""The course of a session: bounded however long it lasts, and true to what went in."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from fieldtui.journal.events import BatterySampled, TransmissionEnded, TransmissionStarted
from fieldtui.outputs.report.course import STEPS, Course, Steps
from tests.outputs.reporting import long_outing, story_of
from tests.session.making_lines import CALL, Outing, opened, outings

SPANS = st.lists(st.tuples(st.floats(0, 2e6), st.floats(0, 400)), max_size=60)
READINGS = st.lists(st.tuples(st.floats(0, 2e6), st.floats(0, 60)), min_size=1, max_size=80)


@given(SPANS)
def test_no_second_that_was_sent_is_lost_or_made(spans):
    steps = Steps()
    for start, lasted in sorted(spans):
        steps.note_sent(start, start + lasted)
    assert abs(sum(steps.sent.values()) - sum(lasted for _, lasted in spans)) < 1e-3 * (1 + len(spans))
    assert len(steps.sent) <= STEPS


@given(READINGS)
def test_lowest_and_highest_survive_every_doubling(readings):
    steps = Steps()
    for seconds, volts in readings:
        steps.note(seconds, volts, volts)
    assert len(steps.extents) <= STEPS
    assert min(each.low for each in steps.extents.values()) == min(volts for _, volts in readings)
    assert max(each.high for each in steps.extents.values()) == max(volts for _, volts in readings)
    for seconds, volts in readings:
        extent = steps.extents[int(seconds // steps.step_seconds)]
        assert extent.low <= volts <= extent.high


@given(outings(most=20))
def test_what_was_sent_is_what_the_state_counts(outing):
    course = Course()
    for envelope in outing.lines:
        course.take(envelope)
    total = course.state.battery.transmit_seconds
    assert sum(course.steps.sent.values()) <= total * 1.0001 + 0.01
    assert len(course.calls) == course.state.identification.record.given


def test_a_transmission_that_no_reading_proves_was_not_sent_until_the_next_began():
    """The shunt was unplugged in it; the next start, a minute later, says that it is over."""
    course = Course()
    outing = Outing().at(0, TransmissionStarted(source="shunt"), BatterySampled(feed="shunt"))
    outing.at(59, TransmissionStarted(source="key")).at(62, TransmissionEnded(source="key"))
    for envelope in outing.lines:
        course.take(envelope)
    assert sum(course.steps.sent.values()) == course.state.battery.transmit_seconds == 3.0


def test_a_day_takes_no_more_room_than_an_hour():
    hour, day = (story_of(long_outing(hours).lines).course.steps for hours in (1, 24))
    assert len(hour.extents) <= STEPS
    assert len(day.extents) <= STEPS
    assert abs(sum(day.sent.values()) - 24 * 60 * 5.0) < 1


def test_the_sag_of_a_reading_counts_though_no_line_shows_it():
    """A line tells the lowest volts since the line before it."""
    outing = (
        Outing().add(opened()).at(10, BatterySampled(feed="shunt", volts=13.2, amps=-1.0, lowest_volts=11.4))
    )
    (extent,) = story_of(outing.lines).course.steps.extents.values()
    assert (extent.low, extent.high) == (11.4, 13.2)


def test_each_call_tells_how_long_after_the_count_began():
    outing = Outing().add(opened()).over(0, 20).at(540, CALL).at(541, CALL).over(600, 610).at(1300, CALL)
    calls = story_of(outing.lines).course.calls
    assert [call.after_seconds for call in calls] == [540.0, None, 759.0]
    assert [call.late for call in calls] == [False, False, True]
