"""The fold as a whole: it depends on the lines and on nothing else."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from itertools import pairwise
from pathlib import Path

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldtui.journal.event_types import Event
from fieldtui.journal.events import (
    KINDS,
    BatterySampled,
    ClockOffset,
    ContactAmended,
    ContactWithdrawn,
    JournalRecovered,
    NoteWritten,
    PlaceSet,
    SessionClosed,
    SessionResumed,
    Tuned,
    VoltsRead,
)
from fieldtui.journal.file import Draft, Journal
from fieldtui.journal.line import encode_line, read_envelope
from fieldtui.journal.stamp import Stamp
from fieldtui.session.state import SessionState
from fieldtui.session.summary import summary
from tests.journal.strategies import events as any_events
from tests.journal.strategies import events_of
from tests.session.any_outing import any_outings, cuts
from tests.session.making_lines import CALL, Outing, contact, envelope_of, fold, heard, opened, outings

ANY_TIME = st.datetimes(timezones=st.just(UTC)).filter(lambda at: at.year >= 1000)


def told(state: SessionState) -> str:
    """All that a state says, as text, with the state's own memory of the battery and the timers."""
    now = state.last_moment.seconds if state.last_moment else 0.0
    views = [str(state.identification.view(now + later)) for later in (0.0, 30.0, 700.0)]
    return json.dumps([summary(state, "hill.jsonl", []), views, str(state.power.view(now))], allow_nan=False)


@settings(deadline=None, max_examples=60)
@given(outings(), st.data())
def test_a_part_and_then_the_rest_is_the_same_as_the_whole(outing: Outing, data: st.DataObject) -> None:
    """A screen that followed and one that was started later show the same."""
    cut = data.draw(st.integers(0, len(outing.lines)))
    state = fold(outing.lines[:cut])
    state.apply_all(outing.lines[cut:])
    assert told(state) == told(fold(outing.lines))


@settings(deadline=None, max_examples=200)
@given(any_outings(), st.data())
def test_however_the_lines_are_cut_into_batches_the_state_is_the_same(
    outing: Outing, data: st.DataObject
) -> None:
    """A slow disk hands over many lines at once, a quick one each alone, and `show` reads all of them."""
    places = data.draw(st.composite(cuts)(outing.lines))
    batched = SessionState()
    for begin, end in pairwise(places):
        batched.apply_all(outing.lines[begin:end])
    alone = SessionState()
    for line in outing.lines:
        alone.apply(line)
    whole = told(fold(outing.lines))
    assert told(batched) == whole
    assert told(alone) == whole


def test_a_clock_that_was_set_between_two_readings_and_set_back_is_told_the_same_either_way() -> None:
    outing = Outing().add(opened())
    for wall_off in (3600.0, 0.0):
        outing.wall_off = wall_off
        outing.at(outing.seconds + 10, BatterySampled(feed="shunt", volts=13.1, amps=-0.5))
    followed = SessionState()
    for line in outing.lines:
        followed.apply(line)
    for state in (followed, outing.state):
        assert state.clock.stepped_seconds == -3600.0
        assert state.clock.trust(state.clock.boot) == "set by 1 h 00 min"


def test_a_clock_that_is_set_after_the_close_is_seen_in_a_reading_too() -> None:
    """The clock is the machine's, not the session's: whatever line comes next shows what was done to it."""
    outing = Outing().add(opened()).at(10, SessionClosed())
    outing.wall_off = 3600.0
    state = outing.at(20, BatterySampled(feed="shunt", volts=13.1, amps=-0.5)).state
    assert state.clock.stepped_seconds == 3600.0
    assert state.battery.volts is None, "the reading itself is no part of the session any more"


@settings(deadline=None, max_examples=60)
@given(outings(), st.integers(1, 5))
def test_asking_changes_nothing(outing: Outing, every: int) -> None:
    """Views are pure: asked again and again or never, the state is the same."""
    asked = SessionState()
    for number, line in enumerate(outing.lines):
        asked.apply(line)
        if number % every == 0:
            told(asked)
            asked.now(outing.stamp())
    assert told(asked) == told(fold(outing.lines))


def test_the_same_journal_read_again_gives_the_same_state(tmp_path: Path) -> None:
    """After a restart: same contacts, same deadline, same ampere-hours."""
    path = tmp_path / "hill.jsonl"
    outing = Outing()
    followed = SessionState()
    with Journal(path) as journal:
        for number in range(60):
            outing.seconds = number * 45.5
            event = [
                BatterySampled(
                    feed="shunt", volts=13.1, amps=-1.0, covered_seconds=45.5, out_amp_seconds=45.5
                ),
                contact(f"c{number}", remarks="x" * number),
                NoteWritten(text=f"note {number}"),
                CALL,
            ][number % 4]
            drafts = [Draft(outing.stamp(), opened())] if not number else []
            for batch in journal.append([*drafts, Draft(outing.stamp(), event)]):
                followed.apply_all(batch.envelopes)
    again = SessionState()
    with Journal(path, writable=False) as journal:
        for batch in journal.follow():
            again.apply_all(batch.envelopes)
    assert told(again) == told(followed)
    assert again.lines == 61


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_alone_can_be_folded(kind: str) -> None:
    """Any line may come first, also in a journal that lost all lines before it."""

    @settings(deadline=None, max_examples=8)
    @given(events_of(KINDS[kind]))
    def check(event: Event) -> None:
        state = Outing().add(event).state
        told(state)
        assert (state.lines, state.unknown_kinds) == (1, 0)

    check()


@settings(deadline=None, max_examples=80)
@given(st.lists(st.tuples(any_events(), st.floats(-1e10, 1e10), ANY_TIME, st.sampled_from("ab")), max_size=8))
def test_no_sound_line_makes_the_fold_fail(lines: list[tuple[Event, float, datetime, str]]) -> None:
    """A journal by another hand may hold any clock and any number that the format allows."""
    state = SessionState()
    for seq, (event, mono, at, boot) in enumerate(lines, 1):
        state.apply(envelope_of(event, Stamp(at, mono, boot), seq))
    told(state)


def test_lines_that_are_not_understood_change_nothing_but_the_count() -> None:
    outing = Outing().add(opened()).at(10, contact())
    before = told(outing.state)
    stamp = outing.stamp()
    for kind, data in (
        ("moon-risen", b'{"azimuth_deg":93}'),
        ("volts-read", b'{"volts":"twelve"}'),
        ("tuned", b"[]"),
    ):
        line, _ = encode_line(3, stamp, kind, data, 0)
        envelope = read_envelope(line[:-1])
        assert envelope is not None
        outing.lines.append(envelope)
    state = outing.state
    assert (state.lines, state.unknown_kinds) == (5, 3)
    assert json.loads(told(state))[0] == json.loads(before)[0] | {
        "session": json.loads(before)[0]["session"] | {"lines": 5}
    }


def test_a_kind_that_has_no_place_in_the_state_is_known_all_the_same() -> None:
    state = Outing().add(JournalRecovered(torn_bytes=12, moved_to="hill.jsonl.torn")).state
    assert (state.lines, state.unknown_kinds) == (1, 0)


# Whole-session events


def test_only_the_first_opening_counts() -> None:
    """Two screens that begin the same empty journal at once both write one."""
    state = Outing().add(opened(place="Larkspur Ridge")).at(1, opened(place="Joss Hill", rule="canada")).state
    assert state.opened is not None
    assert (state.opened.place, state.place.place) == ("Larkspur Ridge", "Larkspur Ridge")
    assert state.identification.rule.interval_seconds == 600


def test_a_session_is_open_until_it_is_closed_and_again_when_it_is_resumed() -> None:
    outing = Outing()
    assert not outing.state.begun
    assert outing.at(0, opened()).state.begun
    assert not outing.at(10, SessionClosed()).state.begun
    assert outing.summary()["session"]["closed_at"] == "2026-06-14T17:00:10.000Z"
    assert outing.at(20, SessionResumed(program="fieldtui test")).state.begun
    assert outing.summary()["session"]["closed_at"] is None


def test_what_is_tuned_and_where_the_station_is_go_into_what_comes_next() -> None:
    outing = Outing().add(opened())
    outing.at(1, Tuned(hertz=146_520_000, mode="FM", watts=5.0, channel="call", tone_hertz=100.0))
    outing.at(2, PlaceSet(locator="CN84rr"))
    outing.at(3, contact("c1", locator="CN94hb", hertz=446_000_000))
    shown = outing.summary()
    assert shown["tuning"] == {
        "hertz": 446_000_000, "transmit_hertz": None, "mode": "FM", "watts": 5.0, "channel": None,
    }  # fmt: skip
    assert (shown["position"]["locator"], shown["position"]["place"]) == ("CN84rr", None)
    assert outing.state.contacts.by_id["c1"].own_locator == "CN84rr"


def test_a_contact_of_earlier_changes_nothing_of_now() -> None:
    """Typed from a paper log: the radio is not tuned there, and no communication ends."""
    outing = Outing().add(opened(), Tuned(hertz=146_520_000, mode="FM")).over(100, 110)
    outing.at(120, contact("c1", hertz=446_000_000, mode="USB", at="2026-06-14T16:00:00Z"))
    assert outing.state.tuning.hertz == 146_520_000
    assert outing.state.tuning.mode == "FM"
    assert outing.need() == "running"


def test_notes_keep_their_order() -> None:
    outing = Outing().add(*(NoteWritten(text=str(number)) for number in range(30)))
    assert [note["text"] for note in outing.summary()["notes"]] == [str(number) for number in range(30)]


def test_the_summary_is_plain_json_for_every_field() -> None:
    """The command contract: known keys, null for what is not known."""
    empty = summary(SessionState(), "hill.jsonl", [])
    assert set(empty) >= {"session", "contacts", "identification", "battery", "damage"}
    assert empty["identification"]["state"] == "quiet"
    assert empty["battery"]["volts"] is None
    full = Outing().add(opened(), contact(locator="CN84rr"), heard("h", "K?QSV"), VoltsRead(volts=12.9), CALL)
    full.at(
        5, ContactAmended(contact="c1", name="Rosa"), ContactWithdrawn(contact="c1"), ClockOffset(seconds=3.0)
    )
    assert msgspec.json.decode(msgspec.json.encode(full.summary())) == full.summary()
