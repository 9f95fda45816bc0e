"""How far the time can be trusted, in words and in seconds."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from fieldtui.radio.units import span_words

if TYPE_CHECKING:
    from fieldtui.session.state import SessionState

RECEIVER = "position receiver"
RECEIVER_DATED = "position receiver, 1024 weeks added"
"""The receiver's week count ran over: the time of day is its own, the date agrees with the system clock."""
RECEIVERS = (RECEIVER, RECEIVER_DATED)
NETWORK = "network"
DRIFT_PARTS = 1e-4
"""How much a small computer's clock runs wrong by itself: 100 parts in a million, nine seconds a day (common
practice, no source)."""
_ORIGINS = {RECEIVER: "the receiver", RECEIVER_DATED: "the receiver (1024 weeks added to its date)"}
TOLD_SECONDS = 2.0
"""From so much on it is said that the system clock is off: the time that is shown is corrected."""


class ClockTrust(Struct, frozen=True):
    """What is known of the time of one boot. `uncertainty_seconds` is None where nothing measured it."""

    source: str | None = None
    offset_seconds: float | None = None
    """True time less system clock, as the clock is set now."""
    uncertainty_seconds: float | None = None


def clock_trust(state: SessionState, boot: str, now: float) -> ClockTrust:
    """What the journal says of the clock of a boot at a session second.

    Since it was last compared a clock may have drifted; while a receiver has a fix it is compared all the time.
    """
    offset = state.clock.offset(boot)
    if offset is None:
        return ClockTrust()
    compared = state.clock.compared_at(boot)
    fixed = state.position.fixed
    if offset.source in RECEIVERS and fixed is not None and fixed.boot == boot:
        compared = max(compared, fixed.seconds)
    uncertainty = offset.uncertainty_seconds
    if uncertainty is not None:
        uncertainty += DRIFT_PARTS * max(0.0, now - compared)
    return ClockTrust(offset.source, state.clock.off_now(boot), uncertainty)


def clock_words(state: SessionState, boot: str | None = None, now: float | None = None) -> str:
    """One line for people: where the time comes from, how exact it is, and what the system clock does."""
    last = state.last_moment
    boot = state.clock.boot if boot is None else boot
    trust = clock_trust(state, boot, now if now is not None else last.seconds if last else 0.0)
    if trust.source is None:
        if state.clock.stepped_seconds:
            return (
                f"system clock, set by {span_words(abs(state.clock.stepped_seconds))} on the way, not checked"
            )
        return "system clock, not checked"
    within = "" if trust.uncertainty_seconds is None else f", within {_within(trust.uncertainty_seconds)}"
    if trust.source == NETWORK:
        return f"system clock, kept by network time{within}"
    origin = _ORIGINS.get(trust.source, f"the {trust.source}")
    off = trust.offset_seconds or 0.0
    if abs(off) < TOLD_SECONDS:
        return f"time from {origin}{within}"
    return f"time from {origin}{within}; the system clock is {span_words(abs(off))} {'slow' if off > 0 else 'fast'}"


def _within(seconds: float) -> str:
    return f"{seconds:.1f} s" if seconds < 10 else span_words(seconds)
