"""The operator's own figures: how many, how fast, how far."""

from __future__ import annotations

from functools import lru_cache

from msgspec import Struct

from fieldtui.session.contact_facts import whereabouts
from fieldtui.session.state import SessionState

RATE_SECONDS = 3600.0


class Figures(Struct, frozen=True):
    """Standing contacts, different stations among them, contacts of the last hour, and the farthest.

    All forms of a call are one station (`K1QRN` and `K1QRN/P`), as in every list.
    """

    contacts: int
    stations: int
    last_hour: int
    farthest_m: float | None
    farthest_call: str | None


def figures(state: SessionState, now_seconds: float) -> Figures:
    """Count; a contact whose place nothing tells has no distance."""
    standing = state.contacts.standing()
    recent = sum(now_seconds - contact.seconds <= RATE_SECONDS for contact in standing)
    farthest_m, farthest_call = None, None
    for contact in standing:
        distance_m = whereabouts(state, contact).distance_m
        if distance_m is not None and (farthest_m is None or distance_m > farthest_m):
            farthest_m, farthest_call = distance_m, contact.call
    stations = {_core(contact.call) for contact in standing}
    return Figures(len(standing), len(stations), recent, farthest_m, farthest_call)


@lru_cache(maxsize=4096)
def _core(call: str) -> str:
    """The call without its strokes. The screen asks every second, and a call without a stroke needs no reading."""
    if call.isascii() and "/" not in call:
        return call.strip().upper()
    from fieldtui.radio.callsign import read_call  # noqa: PLC0415  (no start waits for it)

    return read_call(call).core
