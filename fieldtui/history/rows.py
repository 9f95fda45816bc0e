"""From one journal to the rows of the index: the fold that the screen shows, and nothing else."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from typing import Any, NamedTuple

from fieldtui.entry.text import clean_text
from fieldtui.history.answers import EPOCH, MILLISECOND
from fieldtui.journal.event_types import MOST_CHARACTERS
from fieldtui.journal.file import Journal
from fieldtui.radio.callsign import CallSign, read_call
from fieldtui.session.contact_band import band_of_contact
from fieldtui.session.contacts import Contact
from fieldtui.session.folding import folded
from fieldtui.session.state import SessionState

LONGEST_CALL = 64
"""Longer than any call; a journal by another hand may hold anything."""

Row = tuple[Any, ...]
"""The values of `schema.COLUMNS`."""


class JournalRows(NamedTuple):
    """What a journal holds for the index: whether it is a demo's, and a row for each contact that stands."""

    demo: bool
    rows: list[Row]


def read_journal(path: Path) -> JournalRows:
    """Fold a whole journal. Damaged lines are passed over, and what is not a journal has no contacts.

    Raises:
        OSError: it cannot be read.
    """
    with Journal(path, writable=False) as journal:
        state = folded(journal.follow())
    demo = bool(state.opened and state.opened.demo)
    calls = ((contact, clean_call(contact.call)) for contact in state.contacts.standing())
    return JournalRows(demo, [_row(state, contact, call) for contact, call in calls if call.text])


@lru_cache(maxsize=4096)
def clean_call(text: str) -> CallSign:
    """A call as the index keeps it, and as it must be asked for."""
    return read_call(clean_text(text, LONGEST_CALL))


def _row(state: SessionState, contact: Contact, call: CallSign) -> Row:
    band = band_of_contact(contact)
    return (
        contact.number, _clean(contact.id) or "", call.text, (state.when(contact) - EPOCH) // MILLISECOND, _clean(contact.sent),
        _clean(contact.received), _clean(contact.name), _clean(contact.place), _clean(contact.locator),
        _clean(contact.own_locator), contact.hertz, band.name if band else None, _clean(contact.mode), contact.watts,
        _clean(contact.remarks), int(contact.card), call.core,
    )  # fmt: skip


def _clean(text: str | None) -> str | None:
    return clean_text(text, MOST_CHARACTERS).strip() or None if text else None
