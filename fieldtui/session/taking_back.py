"""Taking back: the newest act, whatever it was, and bringing back what was taken back last."""

from __future__ import annotations

from msgspec import UNSET

from fieldtui.entry.payloads import Field
from fieldtui.journal.card_events import CardPromised, CardReceived, CardSent
from fieldtui.journal.event_types import Act
from fieldtui.journal.events import (
    ActTakenBack,
    AlarmCleared,
    AlarmRaised,
    CallHeard,
    CommunicationEnded,
    ContactAmended,
    ContactLogged,
    Identified,
    NoteWritten,
    PlaceSet,
    TransmissionEnded,
    TransmissionStarted,
    Tuned,
    VoltsRead,
)
from fieldtui.radio.frequency import format_megahertz
from fieldtui.radio.units import count_of
from fieldtui.session.acts import Done
from fieldtui.session.deed import Deed
from fieldtui.session.reasons import Reason
from fieldtui.session.state import SessionState

LONGEST_NOTE = 40


def undo(state: SessionState) -> Deed:
    """Take the newest act that stands back."""
    act = state.acts.newest()
    if act is None:
        return Deed(refusal=Reason("nothing to take back"))
    said = f"taken back: {act_words(act, state)}{_tuned_then(act, state, counts=False)}"
    return Deed((ActTakenBack(act=act.name),), said)


def redo(state: SessionState) -> Deed:
    """Bring back what was taken back last, unless something new was done since."""
    act = state.acts.latest_back()
    if act is None:
        return Deed(refusal=Reason("nothing to bring back: nothing was taken back since the last entry"))
    said = f"brought back: {act_words(act, state)}{_tuned_then(act, state, counts=True)}"
    return Deed((ActTakenBack(act=act.name, restored=True),), said)


def act_words(act: Done, state: SessionState) -> str:
    """What an act was, in words."""
    corrected = [event for event in act.events if isinstance(event, ContactAmended)]
    if corrected:
        return _correction(corrected, state)
    # A voltage may have raised alarms, which go with it.
    said = [event for event in act.events if not isinstance(event, AlarmRaised | AlarmCleared)] or act.events
    cards = [event for event in said if isinstance(event, CardPromised | CardSent | CardReceived)]
    if len(cards) > 1:
        return f"{_words(cards[0], state)} and {count_of(len(cards) - 1, 'other')}"
    return _words(said[0], state)


def _words(event: Act, state: SessionState) -> str:
    match event:
        case ContactLogged():
            return f"contact {_name(event.id, event.call, state)}"
        case CallHeard():
            return f"heard {event.call}"
        case NoteWritten():
            text = event.text if len(event.text) <= LONGEST_NOTE else f"{event.text[:LONGEST_NOTE]}..."
            return f"note: {text}"
        case Identified():
            return "call given"
        case TransmissionStarted():
            return "sending"
        case TransmissionEnded():
            return "end of the over"
        case CommunicationEnded():
            return "end of the communication"
        case VoltsRead():
            return f"meter {event.volts:g} V"
        case Tuned():
            return f"tuned: {_tuned(event)}"
        case PlaceSet():
            return f"here: {' '.join(filter(None, (event.locator, event.place)))}"
        case CardPromised() | CardSent() | CardReceived():
            return f"{_card(event)} {_name(event.contact, '', state)}"
        case _:
            return "what was done last"


def _correction(events: list[ContactAmended], state: SessionState) -> str:
    fields = ", ".join(field.words for field in Field if getattr(events[0], field.key) is not UNSET)
    if len(events) > 1:
        return f"correction of {len(events)} contacts: {fields}"
    return f"correction of {_name(events[0].contact, '', state)}: {fields}"


def _card(event: CardPromised | CardSent | CardReceived) -> str:
    what = {CardPromised: "promised", CardSent: "sent", CardReceived: "received"}[type(event)]
    return f"card {'not ' if event.withdrawn else ''}{what},"


def _tuned(event: Tuned) -> str:
    parts = (
        event.channel,
        f"{format_megahertz(event.hertz)} MHz" if event.hertz is not None else None,
        event.mode,
        f"{event.watts:g} W" if event.watts is not None else None,
    )
    return " ".join(filter(None, parts))


def _tuned_then(act: Done, state: SessionState, *, counts: bool) -> str:
    """Where the radio is taken to be tuned afterwards, if that is another frequency."""
    tunings = state.tunings.copied()
    for event in act.events:
        if isinstance(event, ContactAmended):
            contact = act.before.get(event.contact)
            if contact is not None and not counts:
                tunings.change(event.contact, contact)
        else:
            tunings.let_count(getattr(event, "id", None) or act.name, counts=counts)
    hertz = tunings.fold.hertz
    if hertz == state.tuning.hertz:
        return ""
    return f"; tuned to {format_megahertz(hertz)} MHz" if hertz is not None else "; no frequency set"


def _name(contact_id: str, call: str, state: SessionState) -> str:
    contact = state.contacts.by_id.get(contact_id)
    return f"{contact.number} {contact.call}" if contact else call
