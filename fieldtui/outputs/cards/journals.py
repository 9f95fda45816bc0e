"""Cards in the folder of journals: reading what is owed, and writing what became of it.

Nothing is kept beside the journals. A journal that says nothing of what is asked for is only searched for a few
words, not folded, which is quick even for hundreds of them.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path

from msgspec import Struct

from fieldtui.journal.event_types import Event
from fieldtui.journal.events import KIND_OF, TELEMETRY
from fieldtui.journal.file import Draft, Journal
from fieldtui.journal.folder import journals
from fieldtui.journal.line import Envelope
from fieldtui.journal.stamp import Stamp
from fieldtui.outputs.cards.plain import plain_line
from fieldtui.outputs.cards.promises import CardContact
from fieldtui.radio.callsign import LONGEST_CALL, read_call
from fieldtui.session.contact_band import band_of_contact
from fieldtui.session.contacts import Contact
from fieldtui.session.state import SessionState

PIECE_BYTES = 256 * 1024
LONGEST_WORDS_BYTES = 64
"""Of what a journal is searched for: so much of a piece is looked at again with the next one."""
LONGEST_TEXT = 300

ANY_CARD = re.compile(rb'"card"\s*:\s*true|"card-(?:promised|sent|received)"')
"""Stands in every journal that holds anything about cards, whoever wrote it."""

_PASSED_OVER = frozenset(KIND_OF[kind] for kind in TELEMETRY)
"""Readings of feeds. They are most lines of a journal, and no contact's time or place depends on them: within
a boot all times have the same distances without them."""

Progress = Callable[[int, int], object]
"""How many of the journals are read, and how many there are."""


class CardsFound(Struct, frozen=True):
    """The contacts that a folder of journals holds, and the journals that cannot be read."""

    contacts: list[CardContact]
    unreadable: tuple[Path, ...] = ()


def words_of(calls: Iterable[str]) -> re.Pattern[bytes]:
    """What stands in every journal that holds a contact with one of these stations."""
    cores = sorted({read_call(call).core for call in calls})
    return re.compile(b"|".join(re.escape(core.encode()) for core in cores), re.IGNORECASE)


def read_contacts(
    folder: Path, words: re.Pattern[bytes], *, demo: bool = False, progress: Progress | None = None
) -> CardsFound:
    """Every contact that stands, of the journals in which these words occur; those of demos only if asked for."""
    found: list[CardContact] = []
    unreadable: list[Path] = []
    paths = journals(folder)
    for done, path in enumerate(paths):
        if progress:
            progress(done, len(paths))
        try:
            if _holds(path, words):
                found += _contacts_of(path, demo=demo)
        except OSError:
            unreadable.append(path)
    if progress:
        progress(len(paths), len(paths))
    return CardsFound(found, tuple(unreadable))


def _holds(path: Path, words: re.Pattern[bytes]) -> bool:
    before = b""
    with path.open("rb") as file:
        while piece := file.read(PIECE_BYTES):
            if words.search(before + piece):
                return True
            before = piece[-LONGEST_WORDS_BYTES:]
    return False


def _contacts_of(path: Path, *, demo: bool) -> Iterator[CardContact]:
    state = SessionState()
    places: dict[str, str | None] = {}
    with Journal(path, writable=False) as journal:
        for batch in journal.follow():
            if batch.restarted:
                state = SessionState()
                places.clear()
            for envelope in batch.envelopes:
                _apply(state, places, envelope)
    if state.opened and state.opened.demo and not demo:
        return
    for contact in state.contacts.standing():
        call = read_call(plain_line(contact.call, LONGEST_CALL))
        if call.core:
            yield _card_contact(path, state, contact, places.get(contact.id))


def _apply(state: SessionState, places: dict[str, str | None], envelope: Envelope) -> None:
    if envelope.kind in _PASSED_OVER:
        return
    before = len(state.contacts.by_id)
    state.apply(envelope)
    if len(state.contacts.by_id) > before:
        # Contacts remember the locator of their moment; cards name the place as well.
        places[next(reversed(state.contacts.by_id))] = state.place.place


def _card_contact(path: Path, state: SessionState, contact: Contact, place: str | None) -> CardContact:
    call, opened = read_call(plain_line(contact.call, LONGEST_CALL)), state.opened
    band = band_of_contact(contact)
    return CardContact(
        journal=path, id=contact.id, call=call.text, base=call.core, at=state.when(contact),
        card=state.cards.of(contact.id), sent=_line(contact.sent), received=_line(contact.received),
        name=_line(contact.name), hertz=contact.hertz, band=band.name if band else "", mode=_line(contact.mode),
        watts=contact.watts, remarks=_line(contact.remarks), own_call=_line(opened.station_call if opened else None).upper(),
        operator_call=_line(opened.operator_call if opened else None).upper(), own_place=_line(place),
        own_locator=_line(contact.own_locator),
    )  # fmt: skip


def _line(text: str | None) -> str:
    return plain_line(text, LONGEST_TEXT)


def append_events(journal: Path, events: Sequence[Event], stamp: Stamp) -> None:
    """Write events about cards into the journal of their contacts, closed or not; on disk when this returns.

    Raises:
        FileNotFoundError: the journal is gone; none is made.
        JournalError: they are not saved.
        OSError: the journal cannot be opened.
    """
    if not journal.is_file():
        raise FileNotFoundError(2, os.strerror(2), str(journal))
    with Journal(journal) as opened:
        opened.append([Draft(stamp, event) for event in events])
        opened.sync()
