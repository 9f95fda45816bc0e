"""Which contacts a mark on a station means, and the events that write it down. Pure.

A card promised is written for every contact that waits; a card that came, and a promise made later, belong to
one contact, which is asked for when it is not plain.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from datetime import date
from enum import StrEnum

from msgspec import Struct

from fieldtui.journal.card_events import CardPromised, CardReceived, CardSent, Via
from fieldtui.journal.event_types import Event
from fieldtui.outputs.cards.promises import CardContact
from fieldtui.radio.frequency import format_megahertz

MOST_LISTED = 6


class Deed(StrEnum):
    """What became of a card."""

    SENT = "sent"
    RECEIVED = "received"
    PROMISED = "promised"


class MarkError(ValueError):
    """One line: why nothing can be marked, and what to do."""


class Mark(Struct, frozen=True):
    """What is to be written about one station: `contacts` in the order of time."""

    deed: Deed
    contacts: tuple[CardContact, ...]
    on: date
    via: Via | None = None
    undo: bool = False

    def event(self, contact: CardContact) -> Event:
        """What is appended to the journal of a contact."""
        if self.deed is Deed.PROMISED:
            return CardPromised(contact=contact.id, withdrawn=self.undo)
        kind = CardSent if self.deed is Deed.SENT else CardReceived
        return kind(contact=contact.id, on=self.on.isoformat(), via=self.via, withdrawn=self.undo)

    def words_for(self, contacts: Sequence[CardContact]) -> str:
        """What was done to these contacts, for the person who typed."""
        base, times = contacts[0].base, ", ".join(f"{each.at:%Y-%m-%d %H:%M}" for each in contacts)
        of = f"for the contact{'' if len(contacts) == 1 else 's'} of {times} UTC"
        if self.undo:
            return f"{base}: card not {self.deed} after all, {of}"
        how = f" {self.on.isoformat()}" if self.deed is not Deed.PROMISED else ""
        return f"{base}: card {self.deed}{how}{_via_words(self.via)}, {of}"


def mark_of(
    deed: Deed,
    base: str,
    contacts: Sequence[CardContact],
    *,
    on: date,
    via: Via | None = None,
    contact_ids: Collection[str] = (),
    undo: bool = False,
) -> Mark:
    """Choose among the contacts with a station, which are given in the order of time.

    Raises:
        MarkError: there is none to mark, or which one is meant is not plain.
    """
    if not contacts:
        raise MarkError(f"{base}: no contact in the journals; check the call")
    if contact_ids:
        chosen = _named(base, contacts, contact_ids)
    else:
        chosen = _UNDOING[deed](base, contacts) if undo else _DOING[deed](base, contacts)
    earliest = min(each.at for each in chosen).date()
    # A day earlier may still be the same day where the operator lives.
    if deed is not Deed.PROMISED and not undo and (earliest - on).days > 1:
        raise MarkError(
            f"{base}: {on.isoformat()} is before the contact of {earliest.isoformat()}: check --on"
        )
    return Mark(deed, tuple(chosen), on, via, undo)


def _named(base: str, contacts: Sequence[CardContact], contact_ids: Collection[str]) -> list[CardContact]:
    chosen = [each for each in contacts if each.id in contact_ids]
    if unknown := set(contact_ids) - {each.id for each in chosen}:
        raise MarkError(
            f"{base}: no contact has the id {min(unknown)!a:.40}; its contacts: {_listed(contacts)}"
        )
    return chosen


def _to_send(base: str, contacts: Sequence[CardContact]) -> list[CardContact]:
    waiting = [each for each in contacts if each.card.waiting]
    if waiting:
        return waiting
    sent = [each for each in contacts if each.card.sent_on]
    if sent:
        card = max(sent, key=lambda each: each.card.sent_on or date.min).card
        raise MarkError(
            f"{base}: no card waits, the last was sent {card.sent_on}{_via_words(card.sent_via)}; "
            "--undo takes that back"
        )
    raise MarkError(
        f"{base}: no card was promised; 'fieldtui cards add {base}' promises one, --contact ID marks a contact"
    )


def _to_receive(base: str, contacts: Sequence[CardContact]) -> list[CardContact]:
    missing = [each for each in contacts if each.card.received_on is None]
    if not missing:
        last = max(each.card.received_on or date.min for each in contacts)
        raise MarkError(f"{base}: cards for all contacts came, the last {last}; --undo takes that back")
    expected = [each for each in missing if each.card.promised or each.card.sent_on]
    return _only_one(base, expected or missing)


def _to_promise(base: str, contacts: Sequence[CardContact]) -> list[CardContact]:
    newest = contacts[-1]
    if newest.card.promised:
        raise MarkError(
            f"{base}: a card is promised already for {newest.at:%Y-%m-%d %H:%M}; --undo takes it back"
        )
    return [newest]


def _sent_last(base: str, contacts: Sequence[CardContact]) -> list[CardContact]:
    return _marked_last(base, contacts, lambda each: each.card.sent_on, "was sent")


def _received_last(base: str, contacts: Sequence[CardContact]) -> list[CardContact]:
    return _marked_last(base, contacts, lambda each: each.card.received_on, "came")


def _promised_last(base: str, contacts: Sequence[CardContact]) -> list[CardContact]:
    promised = [each for each in contacts if each.card.promised]
    if not promised:
        raise MarkError(f"{base}: no card was promised: there is nothing to take back")
    return promised[-1:]


def _marked_last(
    base: str, contacts: Sequence[CardContact], day_of: Callable[[CardContact], date | None], what: str
) -> list[CardContact]:
    """All that carry the newest day: one letter, or one mistake."""
    days = [day for each in contacts if (day := day_of(each))]
    if not days:
        raise MarkError(f"{base}: no card {what}: there is nothing to take back")
    return [each for each in contacts if day_of(each) == max(days)]


def _only_one(base: str, contacts: Sequence[CardContact]) -> list[CardContact]:
    if len(contacts) > 1:
        raise MarkError(f"{base}: which contact? Name it with --contact ID: {_listed(contacts)}")
    return [*contacts]


def _listed(contacts: Sequence[CardContact]) -> str:
    shown = "; ".join(_told(each) for each in contacts[-MOST_LISTED:])
    return shown + (f"; and {len(contacts) - MOST_LISTED} earlier" if len(contacts) > MOST_LISTED else "")


def _told(contact: CardContact) -> str:
    megahertz = f" {format_megahertz(contact.hertz)}" if contact.hertz else ""
    return f"{contact.id} ({contact.at:%Y-%m-%d %H:%M}{megahertz})"


def _via_words(via: Via | None) -> str:
    return {"bureau": " via the bureau", "direct": " direct", "electronic": " electronically"}.get(
        via or "", ""
    )


_Choice = Callable[[str, Sequence[CardContact]], list[CardContact]]
_DOING: dict[Deed, _Choice] = {
    Deed.SENT: _to_send, Deed.RECEIVED: _to_receive, Deed.PROMISED: _to_promise,
}  # fmt: skip
_UNDOING: dict[Deed, _Choice] = {
    Deed.SENT: _sent_last, Deed.RECEIVED: _received_last, Deed.PROMISED: _promised_last,
}  # fmt: skip
