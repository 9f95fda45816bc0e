"""What became of the card of each contact: promised, sent, received.

The promise is the contact's own field `card`, whenever it was made; sending and receiving have lines of
their own.
"""

from __future__ import annotations

from datetime import date, datetime

from msgspec import Struct, field
from msgspec.structs import replace

from fieldtui.journal.card_events import CardPromised, CardReceived, CardSent, Via
from fieldtui.session.contacts import ContactsFold


class CardState(Struct, frozen=True):
    """How the cards of one contact stand, in both directions; the days are UTC.

    `promised` is the operator's word that a card will go out; a contact taken back promises nothing.
    """

    promised: bool = False
    sent_on: date | None = None
    sent_via: Via | None = None
    received_on: date | None = None
    received_via: Via | None = None

    @property
    def waiting(self) -> bool:
        """Whether a card was promised and has not been sent."""
        return self.promised and self.sent_on is None


class CardsFold(Struct):
    """Cards by contact; the latest line about a contact counts, one about no contact is passed over."""

    contacts: ContactsFold
    _marks: dict[str, CardState] = field(default_factory=dict)

    def of(self, contact_id: str) -> CardState:
        """How the cards of a contact stand; nothing is known of a contact that is not there."""
        contact = self.contacts.by_id.get(contact_id)
        if contact is None:
            return CardState()
        marks = self._marks.get(contact_id, CardState())
        return replace(marks, promised=contact.card and not contact.withdrawn)

    def on_promised(self, event: CardPromised) -> None:
        """A card was promised after all, or not after all."""
        contact = self.contacts.by_id.get(event.contact)
        if contact is not None:
            self.contacts.by_id[contact.id] = replace(contact, card=not event.withdrawn)

    def on_sent(self, event: CardSent, written_at: datetime) -> None:
        """A card went out, or did not after all. `written_at` is the clock of the line."""
        on, via = _marked(event, written_at)
        self._mark(event.contact, sent_on=on, sent_via=via)

    def on_received(self, event: CardReceived, written_at: datetime) -> None:
        """A card came, or did not after all."""
        on, via = _marked(event, written_at)
        self._mark(event.contact, received_on=on, received_via=via)

    def _mark(self, contact_id: str, **changes: date | Via | None) -> None:
        if contact_id in self.contacts.by_id:
            marks = self._marks.get(contact_id, CardState())
            self._marks[contact_id] = replace(marks, **changes)


def _marked(event: CardSent | CardReceived, written_at: datetime) -> tuple[date | None, Via | None]:
    if event.withdrawn:
        return None, None
    try:
        return date.fromisoformat(event.on), event.via
    except ValueError:
        # By another hand, and no day: it was done when it was written at the latest.
        return written_at.date(), event.via
