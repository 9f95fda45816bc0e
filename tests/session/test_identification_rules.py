"""When the call is asked for under the rules of other places, beside a special event call, and on two channels."""

from __future__ import annotations

import pytest

from fieldtui.entry.grammar import parse_line
from fieldtui.journal.event_types import Event
from fieldtui.journal.events import Identified, Tuned
from fieldtui.radio.channels.plan import Plan
from fieldtui.session.deed import Deed
from fieldtui.session.deeds import context_of, deed_of, owed_here
from tests.session.making_lines import CALL, START, Outing, contact, ended, opened, started

Lines = list[tuple[float, Event]]


def demands(outing: Outing, seconds: float) -> list[str]:
    """What is asked for at a moment."""
    outing.seconds = seconds
    state = outing.state
    return [str(each.kind) for each in state.identification.view(state.now(outing.stamp())).demands]


def outing_of(rule: str, *lines: tuple[float, Event]) -> Outing:
    """These lines under a rule."""
    outing = Outing().add(opened(rule=rule))
    for seconds, event in lines:
        outing.at(seconds, event)
    return outing


# Canada: at the beginning and the end of each communication, and every 30 minutes
# (ISED Basic question bank of 2024-08-28, B-001-013-002 and others; see identification_rules.toml)


def test_canada_asks_at_the_start_and_every_thirty_minutes() -> None:
    outing = outing_of("canada", (100, started()), (110, ended()))
    assert demands(outing, 111) == ["interval", "start"]
    assert outing.need(111) == "due"
    outing.at(115, CALL).at(120, started()).at(130, ended())
    assert demands(outing, 131) == ["interval"]
    assert outing.need(115 + 1799) == "soon"
    assert outing.need(115 + 1801) == "due"


def test_canada_asks_at_the_end_too_and_at_the_start_of_the_next_communication() -> None:
    outing = outing_of(
        "canada", (100, started()), (102, CALL), (110, ended()), (120, started()), (125, ended())
    )
    outing.at(130, contact())
    assert demands(outing, 131) == ["interval", "end"]
    outing.at(135, CALL)
    assert demands(outing, 136) == []
    outing.at(300, started())
    assert "start" in demands(outing, 301)


# Australia: at the beginning and the end of each transmission, and every ten minutes
# (Amateur Stations Class Licence 2023, s12(1), as two operators' pages report it; see identification_rules.toml)


def test_australia_asks_in_every_single_transmission() -> None:
    outing = outing_of("australia", (100, started()))
    assert demands(outing, 101) == ["interval", "start"]
    outing.at(103, CALL)
    assert demands(outing, 104) == ["interval"]
    outing.at(110, ended())
    assert demands(outing, 111) == []
    outing.at(115, started())
    assert "start" in demands(outing, 116)
    outing.at(120, ended())
    assert "end" in demands(outing, 121)


def test_australia_counts_each_transmission_that_had_no_call() -> None:
    """The next one begins another unit: what the last one owed cannot be given any more."""
    outing = outing_of("australia")
    for begin in (100, 200, 300):
        outing.over(begin, begin + 10)
    assert outing.summary()["identification"]["unmarked"] == 2
    outing.at(400, started()).at(402, CALL).at(410, ended())
    assert outing.summary()["identification"]["unmarked"] == 3
    outing.at(500, started()).at(502, CALL).at(510, ended())
    assert outing.summary()["identification"]["unmarked"] == 3


def test_a_long_transmission_in_australia_needs_the_call_every_ten_minutes() -> None:
    outing = outing_of("australia", (100, started()), (101, CALL))
    assert outing.need(101 + 539) == "running"
    assert outing.need(101 + 601) == "due"


# 47 CFR 97.119(d): beside a special event call the assigned call, at least once each hour


def special() -> Outing:
    """A special event station, W7Q, run by KD7QSV."""
    outing = Outing()
    event = opened(operator_call="KD7QSV")
    return outing.add(type(event)(program="fieldtui test", station_call="W7Q", operator_call="KD7QSV"))


def test_the_own_call_is_asked_for_once_an_hour_beside_a_special_event_call() -> None:
    outing = special()
    for minute in range(0, 60, 5):
        outing.at(60 + 300 * minute / 5, started()).at(65 + 300 * minute / 5, Identified(said="W7Q"))
        outing.at(70 + 300 * minute / 5, ended())
    outing.at(60 + 3300, started())
    assert "own-call" in demands(outing, 60 + 3301)
    assert outing.need(60 + 3541) == "soon"
    outing.at(3603, Identified(said="W7Q"))
    assert outing.need(60 + 3610) == "due", "the special event call is not the own call"
    outing.at(3680, Identified(said="KD7QSV"))
    assert "own-call" in demands(outing, 3681)
    assert outing.need(3681) == "running"
    outing.at(3690, ended())
    assert demands(outing, 3691) == []


# Told only of what was seen


def test_contacts_of_which_no_transmission_was_seen_are_not_counted_as_missed() -> None:
    """Sixteen contacts, hours apart, and nobody pressed a key: whether the call was given nobody knows."""
    outing = Outing().add(opened())
    for number in range(16):
        outing.at(1000.0 * number + 100, contact(f"c{number}"))
    told = outing.summary()["identification"]
    assert (told["missed"], told["unmarked"], told["late"]) == (0, 0, 0)
    assert told["unseen"] == 16
    assert told["owed_was_seen"] is False


def test_what_was_seen_is_counted_once_for_each_communication() -> None:
    """One over that was seen and no call after it, then contacts without any: one is missed."""
    outing = Outing().add(opened()).over(100, 110).at(120, contact("a"))
    for number in range(5):
        outing.at(2000.0 * number + 2000, contact(f"c{number}"))
    told = outing.summary()["identification"]
    assert (told["unmarked"], told["unseen"]) == (1, 5)


def test_a_call_long_after_a_contact_without_a_recorded_transmission_is_not_late() -> None:
    outing = Outing().add(opened()).at(100, contact("a")).at(1500, CALL)
    told = outing.summary()["identification"]
    assert (told["late"], told["longest_gap_seconds"], told["count"]) == (0, 0.0, 1)


# On the transmitting channel, 47 CFR 97.119(a)


def tuned(hertz: int) -> Tuned:
    """Another frequency."""
    return Tuned(hertz=hertz, mode="FM")


def done(outing: Outing, line: str) -> Deed:
    """What a line does."""
    state = outing.state
    return deed_of(parse_line(line, context_of(state, START)), state, Plan("none", ()), lambda: "c1")


def test_a_call_on_another_channel_does_not_pay_for_this_one() -> None:
    outing = Outing().add(opened(), tuned(146_520_000)).over(100, 110).at(120, tuned(446_000_000))
    assert outing.need(121) == "quiet", "it cannot be given there any more"
    outing.at(125, CALL)
    told = outing.summary()["identification"]
    assert (told["unmarked"], told["late"], told["count"]) == (1, 0, 1)


def owed(outing: Outing, line: str) -> bool:
    """Whether a tuning is told of a call that it leaves behind."""
    doubt = done(outing, line).doubt
    return doubt is not None and "no call was marked on 146.520 MHz" in doubt.what


def test_tuning_away_tells_of_the_call_that_is_owed_here() -> None:
    outing = Outing().add(opened(), tuned(146_520_000)).over(100, 110)
    assert owed_here(outing.state) == "146.520 MHz"
    assert owed(outing, "446.0 fm")
    assert not owed(outing, "ssb"), "the same channel in another mode"
    assert not owed(outing, "146.52 5w")
    assert not owed(outing.at(120, CALL), "446.0 fm")
    assert owed_here(outing.state) == ""


@pytest.mark.parametrize("rule", ["uk", "us"])
def test_only_a_rule_that_asks_at_the_end_has_something_owed(rule: str) -> None:
    outing = outing_of(rule, (1, tuned(146_520_000)), (100, started()), (110, ended()))
    assert owed(outing, "446.0 fm") == (rule == "us")


def test_while_nothing_was_sent_nothing_is_left_behind() -> None:
    assert not owed(Outing().add(opened(), tuned(146_520_000)), "446.0 fm")
    assert Outing().add(opened()).summary()["identification"]["unseen"] == 0


@pytest.mark.parametrize(
    ("line", "doubted"),
    [
        ("id VP9QZZ", True),
        ("id KD7QSV/P", False),
        ("id VE7/KD7QSV", False),
        ("id", False),
        ("id W7QRV", True),
    ],
)
def test_a_call_that_is_not_this_stations_is_doubted(line: str, *, doubted: bool) -> None:
    deed = done(Outing().add(opened()), line)
    assert bool(deed.doubt and "not your call KD7QSV" in deed.doubt.what) == doubted
    (event,) = deed.events
    assert isinstance(event, Identified)


def test_the_operators_own_call_is_no_others() -> None:
    assert not done(special(), "id KD7QSV").doubt
    assert done(special(), "id N7QSB").doubt
