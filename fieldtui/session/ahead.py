"""The state as it will be when the operator's entries that are still on their way are in the journal.

The panes show what the journal says, and nothing else. But what is typed next follows on what was typed before,
even while a slow or full disk has not taken that yet: a contact belongs to the frequency just chosen, and undo
takes back the contact just logged.
"""

from __future__ import annotations

from collections.abc import Sequence
from copy import copy

from fieldtui.journal.event_types import Act, Event
from fieldtui.journal.events import (
    ActTakenBack,
    ContactAmended,
    ContactLogged,
    ContactWithdrawn,
    Identified,
    SessionClosed,
    TransmissionEnded,
    TransmissionStarted,
    Tuned,
)
from fieldtui.journal.stamp import Stamp
from fieldtui.session.state import SessionState
from fieldtui.session.timeline import Moment
from fieldtui.session.tuning import TuningFold


def ahead_of(state: SessionState, waiting: Sequence[Event], stamp: Stamp) -> SessionState:
    """The state with what deeds ask about brought up to date; to be asked, never to be folded on.

    An event that is in the state already changes nothing, so it does no harm to name one too many.
    """
    if not waiting:
        return state
    ahead = copy(state)
    ahead.tunings = state.tunings.copied()
    ahead.tuning = ahead.tunings.fold
    ahead.identification = state.identification.copied()
    ahead.contacts = state.contacts.copied()
    ahead.acts = state.acts.copied()
    moment = Moment(state.now(stamp), stamp.at, stamp.boot, 0)
    for event in waiting:
        _apply(ahead, event, moment)
    return ahead


def _apply(ahead: SessionState, event: Event, moment: Moment) -> None:
    if isinstance(event, ActTakenBack):
        _take_back(ahead, event, moment)
        return
    if isinstance(event, Act):
        amended = event.contact if isinstance(event, ContactAmended) else ""
        ahead.acts.on_line(event, ahead.contacts.by_id.get(amended))
    _do(ahead, event, moment)


def _take_back(ahead: SessionState, back: ActTakenBack, moment: Moment) -> None:
    """What deeds ask about is as it was before the act, or as the act left it."""
    ahead.acts.on_taken_back(back)
    act = ahead.acts.named(back.act)
    for event in act.events if act else ():
        match event:
            case ContactLogged(id=name):
                _do(ahead, ContactWithdrawn(contact=name, restored=back.restored), moment)
            case ContactAmended(contact=name) if act and not back.restored and name in act.before:
                ahead.contacts.by_id[name] = act.before[name]
                ahead.tunings.change(name, act.before[name])
            case ContactAmended() if back.restored:
                _do(ahead, event, moment)
            case Tuned():
                ahead.tunings.let_count(back.act, counts=back.restored)
            case TransmissionStarted() | TransmissionEnded():
                begun = isinstance(event, TransmissionStarted) == back.restored
                ahead.identification.sending_since = moment.seconds if begun else None
            case _:
                pass


def _do(ahead: SessionState, event: Event, moment: Moment) -> None:
    match event:
        case Tuned():
            ahead.tunings.take(moment.seconds, TuningFold.on_tuned, event, name=event.act)
        case ContactLogged():
            ahead.contacts.on_logged(event, moment, ahead.place.locator, ahead.place.place)
            if event.at is None:
                contact = ahead.contacts.by_id[event.id]
                ahead.tunings.take(moment.seconds, TuningFold.on_contact, contact, contact, name=event.id)
        case ContactAmended():
            ahead.contacts.on_amended(event, moment)
            if event.contact in ahead.contacts.by_id:
                ahead.tunings.change(event.contact, ahead.contacts.by_id[event.contact])
        case ContactWithdrawn():
            ahead.contacts.on_withdrawn(event)
            ahead.tunings.let_count(event.contact, counts=event.restored)
        case Identified(said=said, method=method):
            ahead.identification.on_identified(said, moment, method)
        case TransmissionStarted():
            ahead.identification.sending_since = moment.seconds
        case TransmissionEnded():
            ahead.identification.sending_since = None
        case SessionClosed():
            ahead.closed_moment = moment
