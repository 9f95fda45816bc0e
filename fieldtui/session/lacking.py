"""Contacts that lack what most logs ask for, a frequency or a mode: how many, which, and the line that adds it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

from fieldtui.radio.units import count_of
from fieldtui.session.contact_band import has_frequency
from fieldtui.session.contacts import Contact

What = Literal["frequency", "mode"]

MOST_NAMED = 8
"""Contacts, and spans of their numbers, that are named."""

_TOLD: dict[What, tuple[str, str]] = {
    "frequency": ("without frequency or band", "mhz 145.25"),
    "mode": ("without a mode", "mode FM"),
}


class Lacking:
    """Counts them, contact by contact, and keeps no more than is told."""

    def __init__(self) -> None:
        self._counts: dict[What, int] = {}
        self._names: dict[What, list[str]] = {}
        self._spans: dict[What, list[tuple[int, int]]] = {}

    def note(self, contact: Contact) -> None:
        """One contact that stands, in the order of the list."""
        for what in lacks(contact):
            self._counts[what] = self._counts.get(what, 0) + 1
            names, spans = self._names.setdefault(what, []), self._spans.setdefault(what, [])
            if len(names) < MOST_NAMED:
                names.append(f"{contact.number} {contact.call[:20]}")
            if spans and spans[-1][1] + 1 == contact.number:
                spans[-1] = (spans[-1][0], contact.number)
            elif len(spans) < MOST_NAMED:
                spans.append((contact.number, contact.number))

    def words(self) -> list[str]:
        """What is to be said, a line for each thing that is missing."""
        return [self._line(what, count) for what, count in self._counts.items()]

    def _line(self, what: What, count: int) -> str:
        names, (missing, example) = self._names[what], _TOLD[what]
        more = f" and {count - len(names)} more" if count > len(names) else ""
        which = ",".join(str(a) if a == b else f"{a}-{b}" for a, b in self._spans[what])
        return (
            f"{count_of(count, 'contact')} {missing}: {', '.join(names)}{more}; most logs ask for it. "
            f"If they were all alike, one line adds it: fix {which} {example}"
        )


def lacks(contact: Contact) -> list[What]:
    """What a contact lacks."""
    found: list[What] = [] if has_frequency(contact) else ["frequency"]
    return found if contact.mode else [*found, "mode"]


def lacking_words(contacts: Iterable[Contact]) -> list[str]:
    """What is to be said of a list of contacts."""
    lacking = Lacking()
    for contact in contacts:
        lacking.note(contact)
    return lacking.words()
