"""The contacts of a session, with what was corrected, and the calls only heard."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from itertools import islice

from msgspec import UNSET, Struct, field
from msgspec.structs import replace

from fieldtui.entry.field_words import was_words
from fieldtui.entry.payloads import FixValue
from fieldtui.journal.events import CallHeard, ContactAmended, ContactLogged, ContactWithdrawn
from fieldtui.session.stated_times import ByClock, by_clock
from fieldtui.session.timeline import Moment

AMENDABLE = (
    "call", "sent", "received", "name", "place", "locator", "hertz", "mode", "watts", "remarks", "card", "at",
)  # fmt: skip


class Contact(Struct, frozen=True):
    """A contact as it stands now. `number` is its place in the list, from 1; it never changes.

    `stated_at` is the UTC time the operator gave, if one was given; otherwise the line's own clock counts. `by_clock`
    says what of it the machine's clock told, which may have been wrong: `SessionState.when` puts it right.
    `band` (an ADIF name) is there where no frequency is known. `own_...` tell of this station at the time;
    call, operator and position only where the contact was copied from another log.
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
    ended_at: datetime | None = None
    band: str | None = None
    own_call: str | None = None
    own_operator: str | None = None
    own_place: str | None = None
    own_lat_deg: float | None = None
    own_lon_deg: float | None = None
    own_height_metres: float | None = None
    by_clock: ByClock | None = None


class Heard(Struct, frozen=True):
    """A call heard, whole or in part; `contact` is the contact it became."""

    id: str
    call: str
    text: str | None
    hertz: int | None
    logged_at: datetime
    boot: str
    seconds: float
    after: int = 0
    """How many contacts had been logged then; only a later one can have come of it."""
    contact: str | None = None


class ContactsFold(Struct):
    """Contacts by id, in the order they were logged. A line written twice counts once."""

    by_id: dict[str, Contact] = field(default_factory=dict)
    heard: dict[str, Heard] = field(default_factory=dict)
    _open: dict[str, list[str]] = field(default_factory=dict)
    """Calls heard that became no contact yet, each with the ids of its lines: what a new contact is held against."""

    def on_logged(
        self, event: ContactLogged, moment: Moment, own_locator: str | None, own_place: str | None = None
    ) -> None:
        """A new contact; the same id again is a line written twice."""
        if event.id in self.by_id:
            return
        self.by_id[event.id] = Contact(
            id=event.id, number=len(self.by_id) + 1, call=event.call, sent=event.sent, received=event.received,
            name=event.name, place=event.place, locator=event.locator, hertz=event.hertz,
            transmit_hertz=event.transmit_hertz, mode=event.mode, watts=event.watts, remarks=event.remarks,
            card=event.card, stated_at=read_time(event.at), logged_at=moment.at, boot=moment.boot, seconds=moment.seconds,
            own_locator=event.own_locator or own_locator, own_place=event.own_place or own_place,
            ended_at=read_time(event.ended_at), band=event.band, own_call=event.own_call,
            own_operator=event.own_operator, own_lat_deg=event.own_lat_deg, own_lon_deg=event.own_lon_deg,
            own_height_metres=event.own_height_metres,
            by_clock=by_clock(moment, event.ago_seconds, day_by_clock=event.day_by_clock) if event.at else None,
        )  # fmt: skip
        for call in [call for call in self._open if could_be(call, event.call)]:
            for heard in self._open.pop(call):
                self.heard[heard] = replace(self.heard[heard], contact=event.id)

    def on_amended(self, event: ContactAmended, moment: Moment) -> None:
        """Named fields change; what they were is kept in words."""
        contact = self.by_id.get(event.contact)
        if contact is None:
            return
        changes = {name: value for name in AMENDABLE if (value := getattr(event, name)) is not UNSET}
        words = tuple(was_words(name, _was(contact, name)) for name in changes)
        if "at" in changes:
            changes["stated_at"] = read_time(changes.pop("at"))
            changes["by_clock"] = by_clock(moment, event.ago_seconds, day_by_clock=event.day_by_clock)
        if changes.get("hertz", contact.hertz) != contact.hertz:
            # Another frequency is another channel, without the shift of the first.
            changes["transmit_hertz"] = None
        self.by_id[contact.id] = replace(contact, **changes, corrections=(*contact.corrections, *words))
        if "call" in changes:
            self._tie_again()

    def on_withdrawn(self, event: ContactWithdrawn) -> None:
        """Taken back, or put back."""
        contact = self.by_id.get(event.contact)
        if contact is None:
            return
        self.by_id[contact.id] = replace(contact, withdrawn=not event.restored)
        self._tie_again()

    def on_heard(self, event: CallHeard, moment: Moment) -> None:
        """Remember a call until a contact comes of it."""
        if event.id in self.heard:
            return
        self.heard[event.id] = Heard(
            event.id, event.call, event.text, event.hertz, moment.at, moment.boot, moment.seconds,
            after=len(self.by_id),
        )  # fmt: skip
        self._open.setdefault(event.call, []).append(event.id)

    def _tie_again(self) -> None:
        """To the first contact since then that fits and stands; one taken back leaves a call heard again."""
        for heard in [*self.heard.values()]:
            tied = self.by_id.get(heard.contact) if heard.contact else None
            if tied is None or tied.withdrawn or not could_be(heard.call, tied.call):
                self.heard[heard.id] = replace(heard, contact=self._contact_of(heard))
        self._open = {}
        for heard in self.open_heard():
            self._open.setdefault(heard.call, []).append(heard.id)

    def _contact_of(self, heard: Heard) -> str | None:
        later = islice(self.by_id.values(), heard.after, None)
        fitting = (each.id for each in later if not each.withdrawn and could_be(heard.call, each.call))
        return next(fitting, None)

    def copied(self) -> ContactsFold:
        """Another fold that goes on from here and leaves this one as it is."""
        waiting = {call: [*ids] for call, ids in self._open.items()}
        return ContactsFold(dict(self.by_id), dict(self.heard), waiting)

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
        return next((contact for contact in reversed(self.by_id.values()) if not contact.withdrawn), None)

    def with_call(self, call: str) -> list[Contact]:
        """Earlier contacts of this session with a station."""
        return [contact for contact in self.standing() if contact.call == call]


def could_be(pattern: str, call: str) -> bool:
    """Whether a call heard in part (`?` for one character) fits a whole one."""
    if "?" not in pattern:
        return pattern == call
    return len(pattern) == len(call) and all(a in ("?", b) for a, b in zip(pattern, call, strict=True))


def read_time(text: str | None) -> datetime | None:
    """An RFC 3339 time, in UTC; a journal by another hand may hold anything, so what is none is not a time."""
    try:
        at = datetime.fromisoformat(text) if text else None
        return at.astimezone(UTC) if at and at.tzinfo else None
    except (ValueError, OverflowError):
        return None


def _was(contact: Contact, name: str) -> FixValue:
    value: FixValue = contact.stated_at or contact.logged_at if name == "at" else getattr(contact, name)
    return value
