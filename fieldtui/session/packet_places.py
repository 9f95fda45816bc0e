"""How far stations heard by packet are, and which way."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from fieldtui.radio.geodesy import Path, path_between
from fieldtui.radio.locator import cell_of
from fieldtui.session.contacts import Contact
from fieldtui.session.packet_log import SharedPlace
from fieldtui.session.state import SessionState

if TYPE_CHECKING:
    from fieldtui.radio.packets.values import Place

FRESH_FIX_SECONDS = 1800.0
"""A fix is recorded every few minutes; one that is older came before the receiver was lost (own choice)."""

Here = tuple[float, float]
"""Degrees north and east."""


def here_of_locator(locator: str | None) -> Here | None:
    """The middle of a locator, if it is one."""
    cell = cell_of(locator)
    return (cell.lat_deg, cell.lon_deg) if cell else None


def here_of(state: SessionState) -> Here | None:
    """Where this station is: by its receiver while that has a fresh fix, else by the operator's word."""
    fix, now = state.position.fix, state.last_moment
    age = state.position.age_seconds(now.seconds) if now else None
    if fix is not None and age is not None and age <= FRESH_FIX_SECONDS:
        return fix.lat_deg, fix.lon_deg
    return here_of_locator(state.place.locator)


@lru_cache(maxsize=4096)
def path_to(here: Here | None, place: Place | None) -> Path | None:
    """Distance and bearing from here, where both places are known."""
    if here is None or place is None:
        return None
    return path_between(*here, place.lat_deg, place.lon_deg)


def shared_path(state: SessionState, contact: Contact) -> tuple[SharedPlace, Path | None] | None:
    """Where a contact without a locator said by packet that it was, and the way there."""
    if contact.locator:
        return None
    shared = state.packets.shared_with(contact.id, contact.call)
    return (shared, path_to(here_of_locator(contact.own_locator), shared.place)) if shared else None
