"""How far stations heard by packet are, and which way."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fieldtui.journal.position_events import PositionFixed
from fieldtui.radio.geodesy import Path
from fieldtui.session.state import SessionState
from fieldtui.session.ways import Point, centre_of, path_of_points

if TYPE_CHECKING:
    from fieldtui.radio.packets.values import Place

FRESH_FIX_SECONDS = 1800.0
"""A fix is recorded every few minutes; one that is older came before the receiver was lost (own choice)."""


def fresh_fix(state: SessionState, now_seconds: float) -> PositionFixed | None:
    """The receiver's place, if that is of the last half hour at a session second."""
    age = state.position.age_seconds(now_seconds)
    return state.position.fix if age is not None and age <= FRESH_FIX_SECONDS else None


def here_of(state: SessionState, now_seconds: float | None = None) -> Point | None:
    """Where this station is: by its receiver while that has a fresh fix, else by the operator's word.

    `now_seconds` is in session seconds. Left out it is the journal's last line, for a session that is only read: where
    nothing is written any more, a fix would stay fresh for ever.
    """
    if now_seconds is None:
        now_seconds = state.last_moment.seconds if state.last_moment else 0.0
    fix = fresh_fix(state, now_seconds)
    return centre_of(state.place.locator) if fix is None else (fix.lat_deg, fix.lon_deg)


def path_to(here: Point | None, place: Place | None) -> Path | None:
    """Distance and bearing from here, where both places are known."""
    return path_of_points(here, (place.lat_deg, place.lon_deg)) if place else None
