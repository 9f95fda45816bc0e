"""How a feed is doing, in a word for programs and in one line for people."""

from __future__ import annotations

import re
from enum import StrEnum

from msgspec import Struct

_SILENCE = re.compile(r"(?:(?P<why>.*), but )?no reading for (?P<seconds>\d{1,6}) s: (?P<remedy>.*)")


class FeedCondition(StrEnum):
    """What a feed is doing; every change of it is reported once."""

    OPENING = "opening"
    """The port is being opened, or is open and has not said anything yet."""
    LISTENING = "listening"
    """The port of a feed that may be quiet for long, such as a modem's, is open; nothing has come yet."""
    READING = "reading"
    NO_FIX = "no_fix"
    """A position receiver talks, and does not know where it is."""
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
    """What was given is not a port that could ever be read."""
    REFUSED = "refused"
    """The device refuses, or this program does: it does not ask there, or does not open the port."""
    STOPPED = "stopped"
    """Nobody reads it any more: it was told to stop, or there was a fault in this program."""


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


class Silence(Struct, frozen=True):
    """What the line for a silence says: other bytes may come all the same."""

    why: str
    """What does come, or nothing."""
    seconds: float
    """How long it had lasted when it was told."""
    remedy: str


def silent_words(
    feed: str, seconds: float, *, bytes_come: bool, said_instead: str = "", quiet_is_normal: bool = False
) -> str:
    """Return the line for a feed without readings for that long; it differs when something else does come.

    `said_instead` is what a device that is asked says instead of giving a reading; a channel may be quiet for long.
    """
    remedy = f"check the cable and the power of the {feed}"
    if quiet_is_normal:
        remedy = "a quiet channel, or look at squelch, audio level and channel"
    elif said_instead:
        remedy = "count its registers from 0, or try the other function"
    elif bytes_come:
        remedy = f"check that this is the {feed}, and its speed"
    why = said_instead or ("bytes come" if bytes_come else "")
    return f"{why}{', but ' if why else ''}no reading for {seconds:.0f} s: {remedy}"


def silence_of(words: str) -> Silence | None:
    """Read the line for a silence again, from a state or a journal; None if it is about something else."""
    found = _SILENCE.fullmatch(words)
    return None if found is None else Silence(found["why"] or "", float(found["seconds"]), found["remedy"])


def remedy_of(words: str) -> str:
    """Return what to do about a trouble: what stands behind the last colon of its line, or nothing."""
    return words.rpartition(": ")[2] if ": " in words else ""
