"""The state as it will be when the operator's entries that are still on their way are in the journal.

The panes show what the journal says, and nothing else. But what is typed next follows on what was typed before,
even while a slow or full disk has not taken that yet: a contact belongs to the frequency just chosen, and undo
takes back the contact just logged.
"""

from __future__ import annotations

from collections.abc import Sequence
from copy import copy

from msgspec.structs import replace

from fieldtui.journal.event_types import Event
from fieldtui.journal.events import (
    ContactAmended,
    ContactLogged,
    ContactWithdrawn,
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
    ahead.identification = replace(state.identification)
    ahead.contacts = state.contacts.copied()
    moment = Moment(state.now(stamp), stamp.at, stamp.boot, 0)
    for event in waiting:
        _apply(ahead, event, moment)
    return ahead


def _apply(ahead: SessionState, event: Event, moment: Moment) -> None:
    match event:
        case Tuned():
            ahead.tunings.take(moment.seconds, TuningFold.on_tuned, event)
        case ContactLogged():
            ahead.contacts.on_logged(event, moment, ahead.place.locator, ahead.place.place)
            if event.at is None:
                contact = ahead.contacts.by_id[event.id]
                ahead.tunings.take(moment.seconds, TuningFold.on_contact, contact, name=event.id)
        case ContactAmended():
            ahead.contacts.on_amended(event, moment)
            if event.contact in ahead.contacts.by_id:
                ahead.tunings.change(event.contact, ahead.contacts.by_id[event.contact])
        case ContactWithdrawn():
            ahead.contacts.on_withdrawn(event)
            ahead.tunings.let_count(event.contact, counts=event.restored)
        case TransmissionStarted():
            ahead.identification.sending_since = moment.seconds
        case TransmissionEnded():
            ahead.identification.sending_since = None
        case SessionClosed():
            ahead.closed_moment = moment
