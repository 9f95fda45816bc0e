"""How a feed is doing, in a word for programs and in one line for people."""

from __future__ import annotations

from enum import StrEnum

from msgspec import Struct


class FeedCondition(StrEnum):
    """What a feed is doing; every change of it is reported once."""

    OPENING = "opening"
    """The port is being opened, or is open and has not said anything yet."""
    READING = "reading"
    SILENT = "silent"
    """The port is open, but no reading has come for a while."""
    ABSENT = "absent"
    """There is no such port, or nobody answers at the address."""
    DENIED = "denied"
    BUSY = "busy"
    WRONG_SPEED = "wrong_speed"
    LOST = "lost"
    """The port was open and went away; it stays lost until a reading comes or something else is found."""
    BAD_ADDRESS = "bad_address"
    """What was given is no port that could ever be read."""
    REFUSED = "refused"
    """The device refuses, or this program does: it does not ask there, or does not open the port."""
    STOPPED = "stopped"


class FeedState(Struct, frozen=True):
    """The state of one feed."""

    feed: str
    """Its name among people, such as "shunt"."""
    url: str
    """Where it is read from, as it was given; show `words` instead, they are made safe."""
    condition: FeedCondition
    words: str
    """One line that says what is the matter and what to do."""
    since: float
    """Monotonic seconds when the condition began; for silence, when the last reading came."""


def silent_words(feed: str, seconds: float, *, bytes_come: bool) -> str:
    """Return the line for a feed without readings for that long; it differs when other bytes do come."""
    if bytes_come:
        return f"bytes come, but no reading for {seconds:.0f} s: is this the {feed}?"
    return f"no reading for {seconds:.0f} s: check the cable and the power of the {feed}"
