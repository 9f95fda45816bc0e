"""What is known of a contact beside what was typed, decided once: when, on which band, where they were, how far.

Screen, commands, report and every file ask here, so one journal tells one story. Where a station was is known from
the locator that it gave; without one, from a place that it told by packet shortly before. Pure.
"""

from __future__ import annotations

from datetime import datetime
from functools import lru_cache
from typing import TYPE_CHECKING, Literal

from msgspec import Struct

from fieldtui.radio.bands import Band
from fieldtui.radio.geodesy import Path
from fieldtui.session.contact_band import band_of_contact
from fieldtui.session.contacts import Contact
from fieldtui.session.ways import Point, centre_of, path_of_locators, path_of_points

if TYPE_CHECKING:
    from fieldtui.session.packets.log import SharedPlace
    from fieldtui.session.state import SessionState

Source = Literal["locator", "packet"]

SOURCE_WORDS: dict[Source, str] = {"locator": "centre of the locator", "packet": "packet"}
"""How files and pages name where a place is known from."""


class Whereabouts(Struct, frozen=True):
    """Where a station was (degrees north and east), what tells it, and the way there from where this one was then.

    `path` is None too where this station's own place is not known. `shared` is what was said by packet.
    """

    there: Point | None = None
    source: Source | None = None
    path: Path | None = None
    shared: SharedPlace | None = None

    @property
    def distance_m(self) -> float | None:
        """Metres over the ground."""
        return self.path.distance_m if self.path else None

    @property
    def bearing_deg(self) -> float | None:
        """From true north; None also for one and the same spot."""
        return self.path.bearing_deg if self.path else None

    @property
    def source_words(self) -> str | None:
        """What tells the place, in words."""
        return SOURCE_WORDS[self.source] if self.source else None


class ContactFacts(Struct, frozen=True):
    """The true UTC time of a contact, the band that it counts for, and where the station was."""

    at: datetime
    band: Band | None
    where: Whereabouts


UNKNOWN = Whereabouts()


def facts_of(state: SessionState, contact: Contact) -> ContactFacts:
    """Everything that is to be said of one contact."""
    return ContactFacts(state.when(contact), band_of_contact(contact), whereabouts(state, contact))


def whereabouts(state: SessionState, contact: Contact) -> Whereabouts:
    """Where they were. A locator that was given is the operator's word and wins, even over a finer place."""
    if contact.locator:
        return _by_locator(contact.own_locator, contact.locator)
    if contact.id not in state.packets.shared:
        return UNKNOWN
    shared = state.packets.shared_with(contact.id, contact.call)
    if shared is None:
        return UNKNOWN
    there = (shared.place.lat_deg, shared.place.lon_deg)
    return Whereabouts(there, "packet", path_of_points(centre_of(contact.own_locator), there), shared)


@lru_cache(maxsize=4096)
def _by_locator(here: str | None, there: str) -> Whereabouts:
    # The screen asks for every contact every second.
    centre = centre_of(there)
    return Whereabouts(centre, "locator", path_of_locators(here, there)) if centre else UNKNOWN
