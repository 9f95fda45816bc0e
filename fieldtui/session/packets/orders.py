"""What the operator may want to send by packet at this moment. Pure; whether it leaves is decided elsewhere."""

from __future__ import annotations

from msgspec.structs import replace

from fieldtui.radio.outside_text import RefusedError
from fieldtui.radio.packets.outgoing import Order, OwnPackets, message_order, position_order
from fieldtui.session.packets.places import fresh_fix, here_of
from fieldtui.session.state import SessionState

_AMBIGUITY_OF_LOCATOR = {2: 4, 4: 4, 6: 2, 8: 1}
"""By its characters: what such a square knows. One of six characters is 2.5 by 5 minutes; the nearest that can be
said is a minute (own choice)."""


def own_position(state: SessionState, own: OwnPackets, now_seconds: float) -> Order:
    """The report of where this station is at a session second; RefusedError if that is not known.

    By the receiver's fresh fix, with its height; else by the locator, and then with no more digits than it knows.
    """
    here = here_of(state, now_seconds)
    if here is None:
        raise RefusedError("the place is not known", "say it in the entry line: here and a locator")
    fix = fresh_fix(state, now_seconds)
    if fix is not None:
        return position_order(own, *here, height_m=fix.height_metres if not own.ambiguity else None)
    known = _AMBIGUITY_OF_LOCATOR.get(len(state.place.locator or ""), 0)
    return position_order(replace(own, ambiguity=max(own.ambiguity, known)), *here)


def typed_message(state: SessionState, own: OwnPackets, line: str) -> Order:
    """A message from what was typed: a call with its SSID, a blank, the words. It asks to be acknowledged."""
    to, _, words = line.strip().partition(" ")
    number = f"{(state.packets.sent_count + 1) % 100_000:03d}"
    return message_order(own, to, words.strip(), number)
