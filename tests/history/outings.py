"""Journals written event by event as the program writes them, and what a plain fold over all of them tells."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from fieldtui.entry.text import clean_text
from fieldtui.journal.event_types import Event
from fieldtui.journal.events import ContactAmended, ContactLogged, ContactWithdrawn
from fieldtui.journal.file import Draft, Journal
from fieldtui.radio.bands import band_of
from fieldtui.radio.callsign import read_call
from fieldtui.session.opening import opening_event
from tests.support.hand_clock import START, HandClock
from tests.support.journals import folded


class Outing:
    """One journal that stays open, as on a running screen; a minute passes before each line."""

    def __init__(
        self, path: Path, *, day: int = 0, locator: str | None = "CN94fl", demo: bool = False
    ) -> None:
        self.path = path
        self.clock = HandClock(START + timedelta(days=day), boot=f"b007{day:04d}")
        self._ids = 0
        self._journal = Journal(path)
        self.write(opening_event(station_call="W7QRV", locator=locator, demo=demo))

    def write(self, event: Event) -> None:
        """The next line."""
        self.clock.move(60)
        self._journal.append([Draft(self.clock.now(), event)])

    def contact(self, call: str, **fields: Any) -> str:
        """Log a contact; returns its id."""
        self._ids += 1
        contact_id = f"{self.path.stem}-{self._ids}"
        self.write(ContactLogged(id=contact_id, call=call, **fields))
        return contact_id

    def amend(self, contact: str, **fields: Any) -> None:
        """Correct a contact."""
        self.write(ContactAmended(contact=contact, **fields))

    def withdraw(self, contact: str, *, restored: bool = False) -> None:
        """Take a contact back, or put it back."""
        self.write(ContactWithdrawn(contact=contact, restored=restored))

    def close(self) -> None:
        """Leave the screen."""
        self._journal.close()

    def __enter__(self) -> Outing:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()


Met = tuple[datetime, str, Path, int, str | None, str | None, str | None, str | None]
"""When, which call, in which journal, its number there, name, place, locator, band."""


def plain_fold(folder: Path, *, demo: bool = False) -> list[Met]:
    """Every contact that stands in any journal of a folder, oldest first, without any index."""
    return sorted(_met(folder, demo=demo), key=lambda met: met[0])


def _met(folder: Path, *, demo: bool) -> Iterator[Met]:
    for path in folder.glob("*.jsonl"):
        state = folded(path)
        if state.opened and state.opened.demo and not demo:
            continue
        for contact in state.contacts.standing():
            at = state.when(contact).astimezone(UTC)
            at = at.replace(microsecond=at.microsecond // 1000 * 1000)
            call = read_call(clean_text(contact.call, 64)).text
            name, place, locator = (
                clean_text(text or "", 3000).strip() or None
                for text in (contact.name, contact.place, contact.locator)
            )
            band = band_of(contact.transmit_hertz or contact.hertz or 0)
            told = contact.band if contact.band in ("2m", "70cm") else None
            if call:
                yield at, call, path, contact.number, name, place, locator, band.name if band else told
