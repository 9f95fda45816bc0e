"""When the call is asked for, situation by situation, under the US rule.

47 CFR 97.119(a): at the end of each communication, and at least every ten minutes during one; no duty at the
start. Warning a minute before, and calling it late a minute after, are choices of this program, not law.
"""

from __future__ import annotations

import pytest

from fieldtui.journal.event_types import Event
from fieldtui.journal.events import BatterySampled, CommunicationEnded, NoteWritten, SessionResumed, VoltsRead
from fieldtui.radio.rules import LONGEST_INTERVAL_SECONDS, rule_of
from fieldtui.session.identification.demands import TIME_LOST, Need
from fieldtui.session.identification.fold import IdentificationFold
from fieldtui.session.timeline import Moment
from tests.session.making_lines import CALL, START, Outing, contact, ended, heard, opened, started

Lines = list[tuple[float, Event]]
Checks = list[tuple[float, str]]

SITUATIONS: dict[str, tuple[Lines, Checks]] = {
    "nothing sent: nothing is owed": (
        [(0, opened())],
        [(1, "quiet"), (3600, "quiet")],
    ),
    "a listener who logs what he hears owes nothing": (
        [(0, opened()), (50, heard("h1", "W0QSL")), (60, NoteWritten(text="strong")), (70, VoltsRead(volts=12.9))],
        [(3600, "quiet")],
    ),
    "ten minutes from the first transmission, not from the last": (
        [(100, started()), (110, ended()), (400, started()), (410, ended())],
        [(101, "running"), (639, "running"), (641, "soon"), (699, "soon"), (701, "due"), (759, "due"),
         (761, "overdue"), (9000, "overdue")],
    ),
    "no duty at the start: the first over counts, and asks for nothing yet": (
        [(0, opened()), (100, started())],
        [(100, "running"), (130, "running")],
    ),
    "after the call nothing is owed, however long the silence": (
        [(100, started()), (110, ended()), (300, CALL)],
        [(301, "quiet"), (905, "quiet"), (9000, "quiet")],
    ),
    "ten minutes from the last call": (
        [(100, started()), (110, ended()), (300, CALL), (320, started()), (330, ended())],
        [(331, "running"), (839, "running"), (841, "soon"), (901, "due"), (961, "overdue")],
    ),
    "a call during the over counts for the over": (
        [(100, started()), (150, CALL), (200, ended()), (210, contact())],
        [(151, "running"), (201, "quiet"), (211, "quiet"), (5000, "quiet")],
    ),
    "a contact without a call since the last over: sign off": (
        [(100, started()), (110, ended()), (120, contact())],
        [(111, "running"), (121, "sign-off"), (639, "sign-off"), (641, "soon"), (701, "due"), (761, "overdue")],
    ),
    "a contact with the call after the last over: nothing": (
        [(100, started()), (110, ended()), (115, CALL), (120, contact())],
        [(121, "quiet"), (5000, "quiet")],
    ),
    "a call, then another over, then the contact: sign off": (
        [(100, started()), (105, CALL), (110, ended()), (130, started()), (140, ended()), (150, contact())],
        [(129, "quiet"), (131, "running"), (151, "sign-off")],
    ),
    "the sign-off ends it": (
        [(100, started()), (110, ended()), (120, contact()), (130, CALL)],
        [(131, "quiet"), (5000, "quiet")],
    ),
    "the sign-off within an over ends it with the over": (
        [(100, started()), (110, ended()), (120, contact()), (130, started()), (131, CALL), (135, ended()),
         (300, started()), (310, ended())],
        [(129, "sign-off"), (132, "running"), (136, "quiet"), (311, "running"), (839, "running"), (841, "soon"),
         (901, "due")],
    ),
    "a contact logged within the over in which the call was given": (
        [(100, started()), (105, CALL), (110, contact()), (140, ended()), (300, started()), (310, ended())],
        [(111, "running"), (141, "quiet"), (311, "running"), (839, "running"), (841, "soon")],
    ),
    "a contact logged within an over without a call: sign off, also while sending": (
        [(100, started()), (110, contact()), (140, ended())],
        [(111, "sign-off"), (141, "sign-off")],
    ),
    "the operator says that the talk is over": (
        [(100, started()), (110, ended()), (120, CommunicationEnded())],
        [(121, "sign-off")],
    ),
    "the talk is over and all was said: the next over begins again": (
        [(100, started()), (105, CALL), (110, ended()), (120, CommunicationEnded()), (300, started())],
        [(121, "quiet"), (839, "running"), (841, "soon")],
    ),
    "a whole interval of silence ends a communication": (
        [(100, started()), (110, ended()), (120, CALL), (721, started())],
        [(720, "quiet"), (1259, "running"), (1262, "soon")],
    ),
    "less than that does not": (
        [(100, started()), (110, ended()), (120, CALL), (710, started())],
        [(711, "soon"), (721, "due")],
    ),
    "a call more in that silence brings nothing forward": (
        [(100, started()), (110, ended()), (120, CALL), (500, CALL), (721, started())],
        [(720, "quiet"), (1259, "running"), (1262, "soon")],
    ),
    "a deadline that ran out in silence is due with the next over, not late": (
        [(100, started()), (105, CALL), (130, ended()), (729, started()), (735, ended())],
        [(728, "quiet"), (730, "due"), (788, "due"), (790, "overdue")],
    ),
    "one over longer than the interval": (
        [(100, started())],
        [(699, "soon"), (701, "due"), (800, "overdue")],
    ),
    "the deadline passes within an over after its call: still owed when the over ends": (
        [(100, started()), (105, CALL), (720, ended())],
        [(700, "soon"), (706, "due"), (721, "due"), (800, "overdue")],
    ),
    "the end of a transmission is missing: it goes on counting": (
        [(100, started()), (300, CALL)],
        [(299, "running"), (301, "running"), (901, "due")],
    ),
    "the next start ends it": (
        [(100, started()), (300, CALL), (400, started()), (410, ended())],
        [(411, "running"), (901, "due")],
    ),
    "an end without a start is nothing": (
        [(100, ended()), (200, ended())],
        [(300, "quiet")],
    ),
    "calls without a transmission are nothing to count from": (
        [(100, CALL), (200, CALL)],
        [(2000, "quiet")],
    ),
    "no shunt and no key: a contact proves that something was sent": (
        [(100, contact())],
        [(101, "sign-off"), (639, "sign-off"), (641, "soon"), (701, "due"), (761, "overdue")],
    ),
    "no shunt and no key: the call was given before the contact was logged": (
        [(90, CALL), (100, contact())],
        [(101, "quiet")],
    ),
    "no shunt and no key: the late call of one contact is not the call of the next": (
        [(100, contact("c1")), (110, CALL), (400, contact("c2"))],
        [(111, "quiet"), (401, "sign-off")],
    ),
    "no shunt and no key: a call for each": (
        [(90, CALL), (100, contact("c1")), (390, CALL), (400, contact("c2"))],
        [(101, "quiet"), (401, "quiet")],
    ),
    "the shunt was lost: contacts go on proving": (
        [(100, started()), (105, CALL), (110, ended()), (120, contact("c1")), (2000, contact("c2"))],
        [(121, "quiet"), (2001, "sign-off")],
    ),
    "two stations logged after one over that was identified": (
        [(100, started()), (105, CALL), (110, ended()), (120, contact("c1")), (125, contact("c2"))],
        [(126, "quiet")],
    ),
    "a contact written twice ends one communication": (
        [(100, contact("c1")), (110, CALL), (120, contact("c1"))],
        [(121, "quiet")],
    ),
    "the shunt tells of an over after the call in it was marked": (
        [(105, CALL), (107, started(source="shunt", mono_seconds=5104.0)), (130, ended(source="shunt"))],
        [(108, "running"), (131, "quiet")],
    ),
    "the shunt tells of the sign-off after the call in it was marked": (
        [(100, started()), (110, ended()), (120, contact()), (131, CALL),
         (133, started(source="shunt", mono_seconds=5130.0)), (135, ended(source="shunt")), (500, started())],
        [(132, "quiet"), (136, "quiet"), (1039, "running"), (1041, "soon")],
    ),
    "the shunt tells of an over late: it counts from when it was": (
        [(107, started(source="shunt", mono_seconds=5050.0))],
        [(108, "running"), (589, "running"), (591, "soon"), (651, "due")],
    ),
}  # fmt: skip


@pytest.mark.parametrize(("lines", "checks"), SITUATIONS.values(), ids=SITUATIONS.keys())
def test_situation(lines: Lines, checks: Checks) -> None:
    outing = Outing()
    found = []
    happenings: list[tuple[float, Event | str]] = sorted([*lines, *checks], key=lambda each: each[0])
    for seconds, what in happenings:
        if isinstance(what, str):
            found.append((seconds, outing.need(seconds)))
        else:
            outing.at(seconds, what)
    assert found == checks


def test_the_states_are_ordered_by_urgency() -> None:
    assert [str(need) for need in sorted(Need, key=lambda need: need.urgency)] == [
        "quiet", "running", "sign-off", "soon", "due", "overdue",
    ]  # fmt: skip


def test_words_and_reasons() -> None:
    """What a tired person reads."""
    outing = Outing().add(opened()).at(100, started())
    views = {}
    for seconds in (160, 650, 710, 830):
        outing.seconds = seconds
        state = outing.state
        views[seconds] = state.identification.view(state.now(outing.stamp()))
    assert [views[seconds].words for seconds in views] == [
        "in 9 min 00 s",
        "soon: 50 s",
        "now",
        "late by 2 min",
    ]
    assert views[160].reason == "sending 1 min 00 s"
    assert views[160].left_part == pytest.approx(0.9)
    assert (views[830].left_part, views[830].left_seconds) == pytest.approx((0.0, -130))
    outing.at(840, ended()).at(850, contact())
    view = outing.state.identification.view(860.0)
    assert (view.words, view.reason) == ("late by 2 min, sign off", "no call yet at the end")
    assert Outing().state.identification.view(0.0).reason == "nothing sent yet"


# Restarts, reboots and clocks


def talk() -> Outing:
    """An over at 100 s that was not identified; the call is due at 700 s."""
    return Outing().add(opened()).over(100, 110)


def test_a_restart_in_the_middle_moves_no_deadline() -> None:
    outing = talk().at(200, SessionResumed(program="fieldtui test"))
    assert outing.left() == pytest.approx(500)


def test_a_reboot_in_the_middle_counts_the_time_that_the_wall_clock_says() -> None:
    outing = talk()
    outing.seconds = 250
    outing.reboot().add(SessionResumed(program="fieldtui test"))
    assert outing.left() == pytest.approx(450, abs=0.01)
    assert outing.need(701) == "due"


def test_a_reboot_before_any_line_of_the_new_boot_counts_too() -> None:
    """The screen calculates with a boot that has no line yet."""
    outing = talk()
    outing.seconds = 250
    assert outing.reboot().left() == pytest.approx(450, abs=0.01)


@pytest.mark.parametrize("wall_off", [-3600.0, -1.7e9])
def test_a_reboot_with_an_older_clock_asks_at_once(wall_off: float) -> None:
    """A board without a clock of its own: how long it was off nobody knows."""
    outing = talk()
    outing.seconds = 400
    outing.reboot(wall_off=wall_off).add(SessionResumed(program="fieldtui test"))
    view = outing.state.identification.view(outing.state.now(outing.stamp()))
    assert (view.need, view.words, view.reason) == (Need.DUE, "now", TIME_LOST)
    assert outing.at(410, CALL).need() == "quiet"
    assert outing.over(420, 430).need(440) == "running"


def test_a_reboot_with_an_older_clock_asks_for_nothing_if_nothing_is_owed() -> None:
    outing = talk().at(120, CALL)
    outing.seconds = 400
    outing.reboot(wall_off=-7200.0).add(SessionResumed(program="fieldtui test"))
    assert outing.need() == "quiet"


@pytest.mark.parametrize("step", [3600.0, -3600.0])
@pytest.mark.parametrize("when", ["before the over", "within the over", "after the over"])
def test_a_clock_that_is_set_moves_no_deadline(step: float, when: str) -> None:
    """An hour forward or back, by network time or by hand: intervals are monotonic."""
    outing = Outing().add(opened())
    for seconds, event, moment in (
        (50, NoteWritten(text="a"), "before the over"),
        (100, started(), ""),
        (105, NoteWritten(text="b"), "within the over"),
        (110, ended(), ""),
        (200, NoteWritten(text="c"), "after the over"),
    ):
        if moment == when:
            outing.wall_off = step
        outing.at(seconds, event)
    assert outing.left() == pytest.approx(500)
    assert outing.need(699) == "soon"
    assert outing.need(701) == "due"


@pytest.mark.parametrize("step", [3600.0, -3600.0])
def test_the_time_at_which_it_is_due_is_told_by_the_clock_as_it_is_now(step: float) -> None:
    """`due_at` is compared with a clock on the wall, so it follows that clock."""
    outing = talk().at(120, NoteWritten(text="a"))
    assert outing.summary()["identification"]["due_at"] == "2026-06-14T17:11:40.000Z"
    outing.wall_off = step
    outing.at(130, NoteWritten(text="the clock was set"))
    hour = 17 + int(step / 3600)
    assert outing.summary()["identification"]["due_at"] == f"2026-06-14T{hour}:11:40.000Z"


def test_an_over_whose_end_was_never_seen_lasts_as_long_as_the_shunt_was_heard() -> None:
    """Killed while sending, started again an hour later: not an hour of sending."""
    outing = Outing().add(opened()).at(100, sample(), started(source="shunt")).at(105, sample())
    outing.at(3700, SessionResumed(program="fieldtui test"), sample())
    state = outing.state
    assert not state.sending
    assert (state.battery.overs, state.battery.transmit_seconds) == pytest.approx((1, 5))
    assert outing.need() == "overdue"
    assert outing.at(3710, CALL).need() == "quiet"


def test_an_over_across_a_short_gap_goes_on() -> None:
    outing = (
        Outing().add(opened()).at(100, sample(), started(source="shunt")).at(105, sample()).at(130, sample())
    )
    assert outing.state.sending
    outing.at(135, sample(), ended(source="shunt"))
    assert outing.state.battery.transmit_seconds == pytest.approx(35)


def test_an_over_told_with_its_end_long_after_is_believed() -> None:
    """The detector watched it; only silence proves nothing."""
    outing = Outing().add(opened(), sample()).at(100, started(source="shunt")).at(170, ended(source="shunt"))
    assert outing.state.battery.transmit_seconds == pytest.approx(70)


def sample() -> BatterySampled:
    """The shunt is heard."""
    return BatterySampled(feed="shunt", volts=13.0, amps=-1.0)


# The rule that the journal names


@pytest.mark.parametrize("interval", [480.0, 60.0])
def test_the_operator_may_shorten_the_interval(interval: float) -> None:
    outing = Outing().add(opened(interval_seconds=interval)).over(100, 110)
    assert outing.left() == pytest.approx(100 + interval - 110)


@pytest.mark.parametrize("interval", [601.0, 1e11, 0.0, -5.0, 0.5])
def test_no_interval_in_a_journal_lengthens_the_rule_or_breaks_it(interval: float) -> None:
    outing = Outing().add(opened(interval_seconds=interval)).over(100, 110)
    assert outing.left() == pytest.approx(590)
    assert outing.summary()["identification"]["interval_seconds"] == 600


def test_a_rule_that_this_version_does_not_know_is_counted_as_the_us_rule() -> None:
    assert rule_of("moon", None) == rule_of("us", None)
    assert rule_of("uk", float(LONGEST_INTERVAL_SECONDS) + 1).interval_seconds is None
    assert rule_of("uk", 900.0).interval_seconds == 900


def test_a_rule_without_an_interval_shows_the_time_since() -> None:
    """United Kingdom: no fixed interval (society summaries of the 2015 licence); the reminder is a habit."""
    fold = IdentificationFold(rule_of("uk", None))
    moment = Moment(0.0, START, "b", 1)
    fold.on_started(0.0, moment, "key")
    fold.on_ended(5.0, moment.moved_to(5.0))
    view = fold.view(125.0)
    assert (view.need, view.words, view.left_seconds) == (Need.RUNNING, "2 min 05 s since", None)
    fold.on_contact(moment.moved_to(130.0))
    assert fold.view(131.0).need is Need.RUNNING
    fold.on_identified("M0QRZ", moment.moved_to(140.0))
    assert fold.view(141.0).need is Need.QUIET
