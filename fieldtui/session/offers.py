"""What is known of a station from earlier contacts, offered while its call is typed."""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct

from fieldtui.entry.lines import ContactLine
from fieldtui.session.contacts import Contact


class Offer(Struct, frozen=True):
    """Name, place and locator as last heard, and how often the station was worked."""

    name: str | None
    place: str | None
    locator: str | None
    count: int
    since: str = ""
    """When it was last worked, in words."""

    @property
    def words(self) -> str:
        """In one phrase."""
        known = ", ".join(part for part in (self.name, self.place, self.locator) if part)
        times = f"worked {self.count} times" if self.count != 1 else "worked once"
        return f"{times}{f', {self.since}' if self.since else ''}{f': {known}' if known else ''}"


def offer_from(contacts: Iterable[Contact]) -> Offer | None:
    """From contacts with one station, oldest first; later words replace earlier ones."""
    name = place = locator = None
    count = 0
    for contact in contacts:
        count += 1
        name, place = contact.name or name, contact.place or place
        locator = contact.locator or locator
    return Offer(name, place, locator, count) if count else None


def taken(line: ContactLine, offer: Offer) -> str | None:
    """The typed text with what it lacks taken from the offer; None if it lacks nothing.

    Words with a known shape go before the name, so a text that has a name already only takes a place.
    """
    text = line.text.rstrip()
    if line.name is None:
        locator = offer.locator if line.locator is None else None
        added = " ".join(part for part in (locator, offer.name) if part)
        if offer.name and offer.place:
            added += f", {offer.place}"
        return f"{text} {added}" if added else None
    if line.place is None and offer.place:
        return f"{text}, {offer.place}"
    return None
