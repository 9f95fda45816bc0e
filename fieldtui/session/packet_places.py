"""How far stations heard by packet are, and which way."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from fieldtui.journal.position_events import PositionFixed
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


def fresh_fix(state: SessionState, now_seconds: float) -> PositionFixed | None:
    """The receiver's place, if that is of the last half hour at a session second."""
    age = state.position.age_seconds(now_seconds)
    return state.position.fix if age is not None and age <= FRESH_FIX_SECONDS else None


def here_of(state: SessionState, now_seconds: float | None = None) -> Here | None:
    """Where this station is: by its receiver while that has a fresh fix, else by the operator's word.

    `now_seconds` is in session seconds. Left out it is the journal's last line, for a session that is only read: where
    nothing is written any more, a fix would stay fresh for ever.
    """
    if now_seconds is None:
        now_seconds = state.last_moment.seconds if state.last_moment else 0.0
    fix = fresh_fix(state, now_seconds)
    return here_of_locator(state.place.locator) if fix is None else (fix.lat_deg, fix.lon_deg)


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
