"""The queue of cards: one entry for a station, however it signed; and the reminder of those kept waiting.

Pure: contacts and the day are given.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from datetime import UTC, date, datetime
from pathlib import Path

from msgspec import Struct

from fieldtui.session.cards import CardState

OLD_DAYS = 30
"""A promise older than this is worth a reminder (common practice, no source)."""
MOST_NAMED = 5


class CardContact(Struct, frozen=True):
    """A contact as a card tells it. All text is clean; what is not known is empty or None.

    `call` is the call as it was sent, `base` the part that the licence names; `own_place` and `own_locator`
    are where the operator was then. `band` is an ADIF name, known without a frequency too.
    """

    journal: Path
    id: str
    call: str
    base: str
    at: datetime
    card: CardState
    sent: str = ""
    received: str = ""
    name: str = ""
    hertz: int | None = None
    band: str = ""
    mode: str = ""
    watts: float | None = None
    remarks: str = ""
    own_call: str = ""
    operator_call: str = ""
    own_place: str = ""
    own_locator: str = ""


class Entry(Struct, frozen=True):
    """One station of the queue: its contacts in the order of time, and how long it has waited.

    `address_known` is None if the addresses cannot be read.
    """

    base: str
    name: str
    contacts: tuple[CardContact, ...]
    waiting: tuple[CardContact, ...]
    days_waiting: int
    address_known: bool | None

    @property
    def oldest_at(self) -> datetime | None:
        """When the oldest promise that waits was made; None if none waits."""
        return self.waiting[0].at if self.waiting else None


def has_card(contact: CardContact) -> bool:
    """Whether anything is known of a card, in either direction."""
    card = contact.card
    return card.promised or card.sent_on is not None or card.received_on is not None


def queue_of(
    contacts: Iterable[CardContact], today: date, with_address: Collection[str] | None = ()
) -> list[Entry]:
    """Group contacts by station; those who waited longest stand first, those who wait for nothing last."""
    stations: dict[str, list[CardContact]] = {}
    for contact in sorted(contacts, key=lambda each: each.at):
        stations.setdefault(contact.base, []).append(contact)
    entries = [_entry(base, of_one, today, with_address) for base, of_one in stations.items()]
    return sorted(entries, key=lambda entry: (not entry.waiting, entry.oldest_at or _LAST, entry.base))


_LAST = datetime.max.replace(tzinfo=UTC)


def _entry(
    base: str, contacts: Sequence[CardContact], today: date, with_address: Collection[str] | None
) -> Entry:
    waiting = tuple(each for each in contacts if each.card.waiting)
    return Entry(
        base=base,
        name=next((each.name for each in reversed(contacts) if each.name), ""),
        contacts=tuple(contacts),
        waiting=waiting,
        days_waiting=max(0, (today - waiting[0].at.date()).days) if waiting else 0,
        address_known=None if with_address is None else base in with_address,
    )


def waited_longer(entries: Iterable[Entry], days: int) -> list[Entry]:
    """The stations whose oldest promise is older than so many days."""
    return [entry for entry in entries if entry.waiting and entry.days_waiting > days]


def reminder(entries: Iterable[Entry], days: int = OLD_DAYS) -> str:
    """One line about the promises that are older than so many days, for whoever begins or ends a session.

    Empty if there are none.
    """
    late = sorted(waited_longer(entries, days), key=lambda entry: -entry.days_waiting)
    if not late:
        return ""
    named = ", ".join(f"{entry.base} ({days_words(entry.days_waiting)})" for entry in late[:MOST_NAMED])
    more = f" and {len(late) - MOST_NAMED} more" if len(late) > MOST_NAMED else ""
    owed = "1 station has" if len(late) == 1 else f"{len(late)} stations have"
    return f"{owed} waited more than {days_words(days)} for a card: {named}{more}"


def days_words(days: int) -> str:
    """`1 day`, `12 days`."""
    return "1 day" if days == 1 else f"{days} days"
