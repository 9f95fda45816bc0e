"""The places of a session: each contact counts for the one it was made at, not for the last."""

from __future__ import annotations

from collections.abc import Sequence

from fieldtui.session.contacts import Contact
from fieldtui.session.state import SessionState

MOST_NAMED = 4
"""Places that a heading names."""


def place_of(contact: Contact) -> str:
    """Where this station was then, by name or else by locator; empty where neither was given."""
    return contact.own_place or contact.own_locator or ""


def places_of(state: SessionState) -> list[str]:
    """Where contacts that stand were made, in their order, and where the station is now if that has a name."""
    made_at = (contact.own_place for contact in state.contacts.standing())
    return [place for place in dict.fromkeys([*made_at, state.place.place]) if place]


def joined(places: Sequence[str]) -> str:
    """`A`, `A and B`, `A, B and C`."""
    if len(places) > MOST_NAMED:
        places = [*places[: MOST_NAMED - 1], f"{len(places) - MOST_NAMED + 1} more places"]
    return " and ".join(filter(None, (", ".join(places[:-1]), *places[-1:])))
