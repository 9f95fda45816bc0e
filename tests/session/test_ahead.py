"""Looking ahead of the journal: the next deed follows on what is not written yet; the state stays as it is."""

from __future__ import annotations

from fieldtui.journal.events import (
    ActTakenBack,
    ContactAmended,
    ContactLogged,
    NoteWritten,
    SessionClosed,
    TransmissionEnded,
    TransmissionStarted,
    Tuned,
)
from fieldtui.session.ahead import ahead_of
from fieldtui.session.deeds import close, toggle_over
from fieldtui.session.state import SessionState
from fieldtui.session.taking_back import undo
from tests.support.hand_clock import HandClock

NOW = HandClock().now()


def test_nothing_on_its_way_is_the_state_itself():
    """The usual case costs nothing."""
    state = SessionState()
    assert ahead_of(state, (), NOW) is state


def test_tuning_and_contacts_are_ahead_and_the_state_is_not():
    """Frequency, mode and the newest contact, with what was corrected."""
    state = SessionState()
    waiting = (
        Tuned(hertz=146_550_000, mode="FM"),
        ContactLogged(id="a", call="W0QSL"),
        ContactAmended(contact="a", name="Ada"),
        NoteWritten(text="no matter"),
    )
    ahead = ahead_of(state, waiting, NOW)
    assert (ahead.tuning.hertz, ahead.tuning.mode) == (146_550_000, "FM")
    assert [(contact.call, contact.name) for contact in ahead.contacts.standing()] == [("W0QSL", "Ada")]
    assert state.tuning.hertz is None
    assert state.contacts.standing() == []
    assert undo(ahead).events == (ActTakenBack(act="a"),)
    assert undo(state).refusal


def test_an_undo_on_its_way_counts():
    """The next one takes the contact before."""
    waiting = [
        ContactLogged(id="a", call="W0QSL"),
        ContactLogged(id="b", call="VE7QRZ"),
        ActTakenBack(act="b"),
    ]
    assert undo(ahead_of(SessionState(), waiting, NOW)).events == (ActTakenBack(act="a"),)


def test_an_over_on_its_way_is_ended_by_the_next_key():
    """And begun again by the one after."""
    started, ended = TransmissionStarted(source="key"), TransmissionEnded(source="key")
    state = SessionState()
    assert toggle_over(ahead_of(state, [started], NOW)).events == (ended,)
    assert toggle_over(ahead_of(state, [started, ended], NOW)).events == (started,)
    assert state.identification.sending_since is None


def test_a_session_that_is_being_closed_is_closed():
    """Closing twice is refused."""
    assert close(ahead_of(SessionState(), [SessionClosed()], NOW)).refusal


def test_an_event_that_is_in_the_state_already_changes_nothing():
    """Between writing and syncing it is in both."""
    waiting = [ContactLogged(id="a", call="W0QSL"), TransmissionStarted(source="key")]
    once = ahead_of(SessionState(), waiting, NOW)
    twice = ahead_of(once, waiting, NOW)
    assert twice.contacts == once.contacts
    assert twice.tuning == once.tuning
    assert twice.identification == once.identification


def test_an_undo_on_its_way_takes_its_tuning_back():
    """What is typed next is on the frequency of before, also while the contact itself is still on its way."""
    tuned = Tuned(hertz=146_520_000, mode="FM")
    slip = ContactLogged(id="a", call="W0QSL", hertz=144_200_000, mode="SSB")
    undone = ActTakenBack(act="a")
    state = ahead_of(SessionState(), [tuned, slip], NOW)
    assert (state.tuning.hertz, state.tuning.mode) == (144_200_000, "SSB")
    # Some of them are in the state already, as between writing and syncing.
    for waiting in ([undone], [slip, undone], [tuned, slip, undone]):
        ahead = ahead_of(state, waiting, NOW)
        assert (ahead.tuning.hertz, ahead.tuning.mode) == (146_520_000, "FM")
    corrected = ahead_of(state, [ContactAmended(contact="a", hertz=50_150_000)], NOW)
    assert corrected.tuning.hertz == 50_150_000
    assert state.tuning.hertz == 144_200_000
