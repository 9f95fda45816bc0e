"""The contacts of a session, with what was corrected, and the calls only heard."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import datetime

from msgspec import UNSET

from fieldtui.journal.events import CallHeard, ContactAmended, ContactLogged, ContactWithdrawn
from fieldtui.session.timeline import Moment

AMENDABLE = (
    "call", "sent", "received", "name", "place", "locator", "hertz", "mode", "watts", "remarks", "card", "at",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Contact:
    """A contact as it stands now. `number` is its place in the list, from 1; it never changes.

    `stated_at` is the UTC time the operator gave, if one was given; otherwise the line's own clock counts.
    """

    id: str
    number: int
    call: str
    sent: str | None
    received: str | None
    name: str | None
    place: str | None
    locator: str | None
    hertz: int | None
    transmit_hertz: int | None
    mode: str | None
    watts: float | None
    remarks: str | None
    card: bool
    stated_at: datetime | None
    logged_at: datetime
    boot: str
    seconds: float
    own_locator: str | None
    withdrawn: bool = False
    corrections: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Heard:
    """A call heard, whole or in part; `contact` is the contact it became."""

    id: str
    call: str
    text: str | None
    hertz: int | None
    logged_at: datetime
    boot: str
    seconds: float
    contact: str | None = None


@dataclass(slots=True)
class ContactsFold:
    """Contacts by id, in the order they were logged. A line written twice counts once."""

    by_id: dict[str, Contact] = field(default_factory=dict)
    heard: dict[str, Heard] = field(default_factory=dict)
    undoable: list[str] = field(default_factory=list)
    _numbers: int = 0

    def on_logged(self, event: ContactLogged, moment: Moment, own_locator: str | None) -> None:
        """A new contact; the same id again is a line written twice."""
        if event.id in self.by_id:
            return
        self._numbers += 1
        self.by_id[event.id] = Contact(
            id=event.id, number=self._numbers, call=event.call, sent=event.sent, received=event.received,
            name=event.name, place=event.place, locator=event.locator, hertz=event.hertz,
            transmit_hertz=event.transmit_hertz, mode=event.mode, watts=event.watts, remarks=event.remarks,
            card=event.card, stated_at=read_time(event.at), logged_at=moment.at, boot=moment.boot, seconds=moment.seconds,
            own_locator=own_locator,
        )  # fmt: skip
        self.undoable.append(event.id)
        self._tie_heard(event)

    def on_amended(self, event: ContactAmended) -> None:
        """Named fields change; what they were is kept in words."""
        contact = self.by_id.get(event.contact)
        if contact is None:
            return
        changes = {name: value for name in AMENDABLE if (value := getattr(event, name)) is not UNSET}
        words = tuple(f"{name} was {_shown(contact, name)}" for name in changes)
        if "at" in changes:
            changes["stated_at"] = read_time(changes.pop("at"))
        self.by_id[contact.id] = replace(contact, **changes, corrections=(*contact.corrections, *words))

    def on_withdrawn(self, event: ContactWithdrawn) -> None:
        """Taken back, or put back."""
        contact = self.by_id.get(event.contact)
        if contact is None:
            return
        self.by_id[contact.id] = replace(contact, withdrawn=not event.restored)
        if event.restored and contact.id not in self.undoable:
            self.undoable.append(contact.id)
        elif not event.restored and contact.id in self.undoable:
            self.undoable.remove(contact.id)

    def on_heard(self, event: CallHeard, moment: Moment) -> None:
        """Remember a call until a contact comes of it."""
        self.heard.setdefault(
            event.id,
            Heard(event.id, event.call, event.text, event.hertz, moment.at, moment.boot, moment.seconds),
        )

    def _tie_heard(self, event: ContactLogged) -> None:
        for heard in self.heard.values():
            if heard.contact is None and could_be(heard.call, event.call):
                self.heard[heard.id] = replace(heard, contact=event.id)

    def standing(self) -> list[Contact]:
        """Contacts that were not withdrawn, oldest first."""
        return [contact for contact in self.by_id.values() if not contact.withdrawn]

    def open_heard(self) -> Iterator[Heard]:
        """Calls heard that became no contact."""
        return (heard for heard in self.heard.values() if heard.contact is None)

    def numbered(self, number: int) -> Contact | None:
        """The contact with a list number."""
        ids = list(self.by_id)
        return self.by_id[ids[number - 1]] if 1 <= number <= len(ids) else None

    def last(self) -> Contact | None:
        """The newest contact that was not withdrawn."""
        return self.by_id[self.undoable[-1]] if self.undoable else None

    def with_call(self, call: str) -> list[Contact]:
        """Earlier contacts of this session with a station."""
        return [contact for contact in self.standing() if contact.call == call]


def could_be(pattern: str, call: str) -> bool:
    """Whether a call heard in part (`?` for one character) fits a whole one."""
    return len(pattern) == len(call) and all(a in ("?", b) for a, b in zip(pattern, call, strict=True))


def read_time(text: str | None) -> datetime | None:
    """An RFC 3339 time; a journal by another hand may hold anything, so what is none is no time."""
    try:
        at = datetime.fromisoformat(text) if text else None
    except ValueError:
        return None
    return at if at and at.tzinfo else None


def _shown(contact: Contact, name: str) -> str:
    value = contact.stated_at or contact.logged_at if name == "at" else getattr(contact, name)
    return (
        "nothing" if value in (None, "") else f"{value:%H:%M}" if isinstance(value, datetime) else str(value)
    )
