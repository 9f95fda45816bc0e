"""Lines that came late or were taken back count as if they had been right from the start."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from fieldtui.journal.event_types import Event
from fieldtui.journal.events import ContactAmended, ContactWithdrawn, Tuned
from fieldtui.session.recount import KEPT
from fieldtui.session.state import SessionState
from tests.session.making_lines import CALL, Outing, contact, ended, fold, opened, started
from tests.support.memory import held_bytes

Lines = Sequence[tuple[float, Event]]


def outing_of(lines: Lines) -> Outing:
    """Lines in this order, each with its own moment."""
    outing = Outing().add(opened())
    for seconds, event in lines:
        outing.at(seconds, event)
    return outing


def told(outing: Outing, now: float) -> tuple[object, object]:
    """What is shown of the call then, and what is kept of it."""
    identification = outing.state.identification
    record, ends = identification.record, identification.record.unmarked_ends
    # All but the number of the line, which depends on the order in which they were written.
    kept = replace(record, unmarked_ends=())
    return identification.view(now), (kept, [(each.moment.seconds, each.contact) for each in ends])


def undo(name: str, *, restored: bool = False) -> ContactWithdrawn:
    """A contact taken back, or put back."""
    return ContactWithdrawn(contact=name, restored=restored)


def overs(*starts: float) -> list[tuple[float, Event]]:
    """Transmissions of ten seconds."""
    return [each for start in starts for each in ((start, started()), (start + 10, ended()))]


# Late lines


def test_a_call_that_waited_for_the_disk_does_not_answer_a_later_over() -> None:
    """Given at 15 s and written after an over at 700 s: what that over owes stays owed."""
    late = outing_of([*overs(10, 700), (15, CALL)])
    in_order = outing_of([(10, started()), (15, CALL), (20, ended()), *overs(700)])
    view = late.state.identification.view(711.0)
    assert (str(view.need), view.words) == ("running", "in 9 min 49 s")
    assert told(late, 711.0) == told(in_order, 711.0)


def test_a_late_call_before_a_contact_is_the_call_at_its_end() -> None:
    """No sign-off is asked for once the line is there."""
    outing = outing_of([*overs(100), (130, contact())])
    assert outing.need(131) == "sign-off"
    outing.at(120, CALL)
    assert outing.need(131) == "quiet"


def test_an_over_that_is_told_late_is_counted_from_when_it_was() -> None:
    """The one before the over that is counted already owes its call sooner."""
    outing = outing_of([*overs(700), *overs(300)])
    assert outing.need(750) == "running"
    assert outing.left() == pytest.approx(150)
    assert outing.state.identification.view(750.0).reason == "last sent 40 s ago"


@st.composite
def shuffled_calls(draw: st.DrawFn) -> tuple[Lines, Lines]:
    """Overs, calls and contacts in order, and the same with some calls and contacts written late."""
    seconds = 0.0
    lines: list[tuple[float, Event]] = []
    for number in range(draw(st.integers(1, 20))):
        seconds += draw(st.sampled_from([11.0, 60.0, 130.0, 598.0, 640.0]))
        what = draw(st.sampled_from(["over", "call", "contact"]))
        lines += (
            overs(seconds)
            if what == "over"
            else [(seconds, CALL if what == "call" else contact(f"c{number}"))]
        )
        seconds += 10.0
    late = [draw(st.booleans()) and line[1] not in (started(), ended()) for line in lines]
    kept = [line for line, waits in zip(lines, late, strict=True) if not waits]
    return lines, [*kept, *draw(st.permutations([line for line in lines if line not in kept]))]


@settings(deadline=None, max_examples=80)
@given(shuffled_calls(), st.sampled_from([0.0, 59.0, 700.0]))
def test_calls_and_contacts_count_where_they_were_and_not_where_they_stand(
    both: tuple[Lines, Lines], later: float
) -> None:
    """In whatever order the lines came."""
    in_order, as_written = both
    now = in_order[-1][0] + 10 + later
    assert told(outing_of(in_order), now) == told(outing_of(as_written), now)


def test_a_line_later_than_all_that_is_kept_silences_nothing() -> None:
    """Hundreds of lines later: what was sent since stays owed."""
    many = overs(*(100.0 + 20 * number for number in range(3 * KEPT)))
    outing = outing_of([*many, (50, CALL)])
    now = outing.state.identification.last_sent or 0.0
    assert outing.need(now) in ("due", "overdue")


# What is taken back


def test_what_a_contact_asked_for_is_taken_back_with_it() -> None:
    """Without a shunt a contact proves that something was sent; a mistyped one proves nothing."""
    mistyped = [(10.0, contact("c1")), (15.0, undo("c1"))]
    outing = outing_of(mistyped)
    assert outing.need(16) == "quiet"
    again = outing_of([*mistyped, (20, contact("c2")), (22, CALL)])
    assert again.summary()["identification"]["missed"] == 0
    assert again.need(23) == "quiet"
    assert told(again, 23.0) == told(outing_of([(20, contact("c2")), (22, CALL)]), 23.0)


def test_a_call_given_for_a_mistyped_contact_is_one_for_the_right_one() -> None:
    """Logged, called, noticed, logged again: the call was given."""
    outing = outing_of([(10, contact("c1")), (12, CALL), (15, undo("c1")), (20, contact("c2"))])
    assert outing.need(21) == "quiet"


def test_an_over_stays_owed_when_its_contact_is_taken_back() -> None:
    """The talk goes on; put back, its end is asked for again."""
    outing = outing_of([*overs(100), (120, contact("c1"))])
    assert outing.need(121) == "sign-off"
    outing.at(125, undo("c1"))
    assert outing.need(126) == "running"
    assert outing.left() == pytest.approx(574)
    outing.at(130, undo("c1", restored=True))
    assert outing.need(131) == "sign-off"


def test_taking_back_what_is_long_past_changes_nothing_that_is_owed() -> None:
    """A contact of hundreds of lines ago."""
    many = [(10.0, contact("c1")), *overs(*(100.0 + 20 * number for number in range(3 * KEPT)))]
    outing = outing_of(many)
    now = outing.state.identification.last_sent or 0.0
    before = outing.state.identification.view(now)
    assert outing.add(undo("c1")).state.identification.view(now) == before


# The tuning

FM = Tuned(
    hertz=146_520_000, transmit_hertz=147_120_000, mode="FM", watts=25.0, channel="Valley", tone_hertz=100.0
)


def tuned(*lines: Event) -> tuple[int | None, str | None, float | None, str | None]:
    """Frequency, mode, power and channel after these lines, a minute apart."""
    tuning = outing_of([(60.0 * number, line) for number, line in enumerate(lines)]).state.tuning
    return tuning.hertz, tuning.mode, tuning.watts, tuning.channel


SLIP = contact("c1", hertz=144_200_000, mode="SSB", watts=5.0)
BEFORE = (146_520_000, "FM", 25.0, "Valley")


def test_a_contact_tunes_and_taken_back_it_does_not() -> None:
    """With the channel, its shift and its tone."""
    assert tuned(FM, SLIP) == (144_200_000, "SSB", 5.0, None)
    assert tuned(FM, SLIP, undo("c1")) == BEFORE
    assert tuned(FM, SLIP, undo("c1"), undo("c1", restored=True)) == (144_200_000, "SSB", 5.0, None)


def test_correcting_the_contact_that_tuned_corrects_the_tuning() -> None:
    right = ContactAmended(contact="c1", hertz=146_520_000)
    assert tuned(FM, SLIP, right) == (146_520_000, "SSB", 5.0, "Valley")
    assert tuned(FM, SLIP, right, ContactAmended(contact="c1", mode="FM", watts=25.0)) == BEFORE


def test_what_was_tuned_since_stays() -> None:
    """A later order, or a later contact that stands, is the newer word."""
    six = Tuned(hertz=50_150_000, mode="SSB")
    assert tuned(FM, SLIP, six, undo("c1")) == (50_150_000, "SSB", 25.0, None)
    after = contact("c2", hertz=432_100_000, mode="CW")
    assert tuned(FM, SLIP, after, undo("c1")) == (432_100_000, "CW", 25.0, None)
    assert tuned(FM, SLIP, after, ContactAmended(contact="c1", hertz=50_000_000)) == (
        432_100_000,
        "CW",
        5.0,
        None,
    )


def test_a_contact_of_a_stated_time_tunes_nothing() -> None:
    """Neither when it is logged nor when it is corrected or taken back."""
    earlier = contact("c1", hertz=144_200_000, at="2026-06-14T16:40:00Z")
    amended = ContactAmended(contact="c1", hertz=50_000_000)
    assert (
        tuned(FM, earlier) == tuned(FM, earlier, amended) == tuned(FM, earlier, amended, undo("c1")) == BEFORE
    )


def test_any_number_of_events_is_counted_with_a_bounded_memory() -> None:
    """Each of them once, also where the oldest are let go in the middle of late ones."""
    lines = [(20.0 * number, started() if number % 2 else ended()) for number in range(10 * KEPT)]
    late = [(20.0 * number + 1, CALL) for number in range(9 * KEPT, 10 * KEPT)]
    state: SessionState = fold(outing_of([*lines, *late]).lines)
    assert state.identification.record.transmissions == 5 * KEPT
    assert state.identification.record.given == KEPT
    few: SessionState = fold(outing_of([*lines[: 2 * KEPT], *late[:KEPT]]).lines)
    assert held_bytes(state.identifying) < 1.5 * held_bytes(few.identifying)
