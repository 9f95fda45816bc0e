"""The operator's own figures: how many, how fast, how far."""

from __future__ import annotations

from msgspec import Struct

from fieldtui.session.state import SessionState
from fieldtui.session.summary import path_of

RATE_SECONDS = 3600.0


class Figures(Struct, frozen=True):
    """Standing contacts, different calls among them, contacts of the last hour, and the farthest."""

    contacts: int
    calls: int
    last_hour: int
    farthest_m: float | None
    farthest_call: str | None


def figures(state: SessionState, now_seconds: float) -> Figures:
    """Count; contacts without a locator have no distance."""
    standing = state.contacts.standing()
    recent = sum(now_seconds - contact.seconds <= RATE_SECONDS for contact in standing)
    farthest_m, farthest_call = None, None
    for contact in standing:
        path = path_of(contact)
        if path and (farthest_m is None or path.distance_m > farthest_m):
            farthest_m, farthest_call = path.distance_m, contact.call
    return Figures(
        len(standing), len({contact.call for contact in standing}), recent, farthest_m, farthest_call
    )
