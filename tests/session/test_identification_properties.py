"""What holds for every order of overs, calls and contacts, against a count made from the list of what happened."""

from __future__ import annotations

from dataclasses import dataclass

from hypothesis import given, settings
from hypothesis import strategies as st

from fieldtui.journal.event_types import Event
from fieldtui.journal.events import CommunicationEnded, NoteWritten
from fieldtui.session.identification.demands import IdentificationView, Need
from tests.session.making_lines import CALL, Outing, contact, ended, started

INTERVAL = 600.0


@dataclass(frozen=True)
class Happening:
    """Something at a moment; overs are given by their two ends."""

    seconds: float
    what: str


@st.composite
def happenings(draw: st.DrawFn, kinds: str = "over call contact end note") -> list[Happening]:
    """Overs of any length with calls, contacts and silences anywhere, also within an over."""
    seconds, sending, list_ = 0.0, False, []
    for _ in range(draw(st.integers(1, 14))):
        seconds += draw(st.sampled_from([0.5, 1.0, 7.0, 58.0, 61.0, 130.0, 598.0, 602.0, 1500.0]))
        what = draw(st.sampled_from(kinds.split()))
        if what == "over":
            what = "stop" if sending else "start"
            sending = not sending
        list_.append(Happening(seconds, what))
    return list_


def events_of(list_: list[Happening]) -> list[Event]:
    """What the lines say."""
    plain: dict[str, Event] = {
        "start": started(), "stop": ended(), "call": CALL, "end": CommunicationEnded(),
        "note": NoteWritten(text="wind"),
    }  # fmt: skip
    return [plain.get(each.what) or contact(f"c{number}") for number, each in enumerate(list_)]


def outing_of(list_: list[Happening]) -> Outing:
    """The lines that tell it."""
    outing = Outing()
    for each, event in zip(list_, events_of(list_), strict=True):
        outing.at(each.seconds, event)
    return outing


def view_at(outing: Outing, seconds: float) -> IdentificationView:
    """What the pane shows then."""
    outing.seconds = seconds
    state = outing.state
    return state.identification.view(state.now(outing.stamp()))


def starts(list_: list[Happening]) -> list[float]:
    """When each over began."""
    return [each.seconds for each in list_ if each.what == "start"]


def still_sending(list_: list[Happening]) -> bool:
    """Whether the last over goes on."""
    return len(starts(list_)) > sum(each.what == "stop" for each in list_)


def last(list_: list[Happening], what: str) -> float | None:
    """When it happened last."""
    return max((each.seconds for each in list_ if each.what == what), default=None)


LATER = st.sampled_from([0.0, 0.5, 30.0, 100.0, 599.0, 601.0, 3000.0])


def then(list_: list[Happening], *what: str) -> list[Happening]:
    """The same, and this a second apart."""
    end = list_[-1].seconds
    return [*list_, *(Happening(end + number, each) for number, each in enumerate(what, 1))]


@settings(deadline=None, max_examples=70)
@given(happenings(), happenings("over contact end note"), LATER)
def test_what_was_sent_since_the_call_is_always_counted(
    list_: list[Happening], rest: list[Happening], later: float
) -> None:
    """An over that began after the last call owes one: never quiet, and due an interval after its start at most."""
    list_ = then(list_, *(["stop"] if still_sending(list_) else []), "start")
    list_ += [Happening(list_[-1].seconds + each.seconds, each.what) for each in _ends_first(rest)]
    now = list_[-1].seconds + later
    called = last(list_, "call")
    first = min(start for start in starts(list_) if called is None or start > called)
    view = view_at(outing_of(list_), now)
    assert view.need is not Need.QUIET
    assert view.left_seconds is not None
    assert now + view.left_seconds <= first + INTERVAL + 1e-3
    if now >= first + INTERVAL:
        assert view.need.urgency >= Need.DUE.urgency


def _ends_first(rest: list[Happening]) -> list[Happening]:
    """The same overs, after one that is going on."""
    swapped = {"start": "stop", "stop": "start"}
    return [Happening(each.seconds, swapped.get(each.what, each.what)) for each in rest]


@settings(deadline=None, max_examples=70)
@given(happenings(), LATER)
def test_while_sending_there_is_always_a_deadline(list_: list[Happening], later: float) -> None:
    """At most an interval after the last call, or after the start if there was none."""
    if not still_sending(list_):
        list_ = then(list_, "start")
    now = list_[-1].seconds + later
    view = view_at(outing_of(list_), now)
    assert view.need is not Need.QUIET
    assert view.left_seconds is not None
    called = last(list_, "call") or 0.0
    assert now + view.left_seconds <= max(called, starts(list_)[-1]) + INTERVAL + 1e-3


@settings(deadline=None, max_examples=70)
@given(happenings(), st.lists(st.sampled_from(["note", "end", "call"]), max_size=3), LATER)
def test_nothing_is_asked_for_when_all_that_was_sent_was_identified(
    list_: list[Happening], rest: list[str], later: float
) -> None:
    """Nothing sent or logged since the last call, and not sending: quiet, however long."""
    list_ = then(list_, *(["stop"] if still_sending(list_) else []), "call", *rest)
    assert view_at(outing_of(list_), list_[-1].seconds + later).need is Need.QUIET


@settings(deadline=None, max_examples=70)
@given(happenings("note end call"), LATER)
def test_a_station_that_never_sent_owes_nothing(list_: list[Happening], later: float) -> None:
    assert view_at(outing_of(list_), list_[-1].seconds + later).need is Need.QUIET


@settings(deadline=None, max_examples=70)
@given(happenings(), LATER)
def test_a_call_given_now_never_makes_it_more_urgent(list_: list[Happening], later: float) -> None:
    """From there on, as long as nothing else happens.

    Earlier in a session it may: a call before a contact ends that communication in time, so that a call in the
    next one does not close the one before, and the next deadline counts from it.
    """
    more = [*list_, Happening(list_[-1].seconds + 0.25, "call")]
    now = list_[-1].seconds + max(later, 0.3)
    assert view_at(outing_of(more), now).need.urgency <= view_at(outing_of(list_), now).need.urgency


@settings(deadline=None, max_examples=70)
@given(happenings(), st.lists(st.floats(0.0, 3000.0), min_size=2, max_size=6))
def test_waiting_never_makes_it_less_urgent(list_: list[Happening], waits: list[float]) -> None:
    """While nothing happens, only time passes."""
    outing, end = outing_of(list_), list_[-1].seconds
    urgencies = [view_at(outing, end + wait).need.urgency for wait in sorted(waits)]
    assert urgencies == sorted(urgencies)


@settings(deadline=None, max_examples=70)
@given(happenings(), LATER, st.sampled_from([3600.0, -3600.0]), st.data())
def test_a_clock_that_is_set_changes_nothing(
    list_: list[Happening], later: float, step: float, data: st.DataObject
) -> None:
    """At any line: the view is the same to the millisecond of the journal."""
    now = list_[-1].seconds + later
    position = data.draw(st.integers(0, len(list_)))
    stepped = Outing()
    for number, event in enumerate(events_of(list_)):
        stepped.wall_off = step if number >= position else 0.0
        stepped.at(list_[number].seconds, event)
    assert view_at(stepped, now) == view_at(outing_of(list_), now)


@settings(deadline=None, max_examples=70)
@given(happenings(), LATER, st.data())
def test_a_reboot_with_a_right_clock_only_ends_an_over(
    list_: list[Happening], later: float, data: st.DataObject
) -> None:
    """Between any two lines: what was owed is owed, at the same moment, to the millisecond of the wall clock.

    A carrier that was up went down with the power: not before its last line, and nobody knows when after it.
    """
    now = list_[-1].seconds + later
    position = data.draw(st.integers(1, len(list_)))
    rebooted = Outing()
    for number, event in enumerate(events_of(list_)):
        rebooted.seconds = list_[number].seconds
        if number == position:
            rebooted.reboot()
        rebooted.add(event)
    if position < len(list_) and still_sending(list_[:position]):
        list_ = [*list_[:position], Happening(list_[position - 1].seconds, "stop"), *list_[position:]]
    one, two = view_at(outing_of(list_), now), view_at(rebooted, now)
    assert (one.need, one.left_seconds is None) == (two.need, two.left_seconds is None)
    if one.left_seconds is not None and two.left_seconds is not None:
        assert abs(one.left_seconds - two.left_seconds) < 0.01
