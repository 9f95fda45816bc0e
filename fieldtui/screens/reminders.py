"""When the bell rings, and how often it strikes: decided each second from plain values alone.

Each cause has its number of strokes, so that it is known by ear. A reminder rings when it comes up and when it gets
more urgent, and again each minute until it is answered or its cause is gone. An answered one is quiet until it gets
more urgent. While the station transmits nothing rings, as the microphone would hear it: what is owed waits, and is
told when the over ends if it still stands. Only what may hurt the station rings once all the same.
"""

from __future__ import annotations

from collections.abc import Set as AbstractSet
from enum import IntEnum
from math import inf

from msgspec import Struct

STROKE_SECONDS = 0.4
"""From one stroke of a ring to the next."""
APART_SECONDS = 3.0
"""From the last stroke of a ring to the first of the next one, at least: else two would be heard as one."""
REPEAT_SECONDS = 60.0
"""From one ring of a reminder to the next while nobody answers; what is said again by others rings no sooner."""


class Strokes(IntEnum):
    """How often the bell strikes for what."""

    PACKET = 1
    CALL = 2
    BATTERY = 3
    TOO_LONG = 4


class Ask(Struct, frozen=True):
    """One thing that may call for the operator at this moment.

    `level` is 0 while nothing calls, and grows with urgency. `again` counts how often it was said again: when that
    grows, it calls again even if it was answered. `repeat_seconds` is None for what rings again with that count only.
    `anyway`: its first ring comes while transmitting too. `rises_in` is in how many seconds it will get more urgent:
    just before that nothing is repeated, so that the ring that matters comes on time.
    """

    name: str
    strokes: Strokes
    level: int
    again: int = 0
    repeat_seconds: float | None = REPEAT_SECONDS
    anyway: bool = False
    rises_in: float = inf


class Ring(Struct, frozen=True):
    """What is to be done now: strike so often (0: not at all). `risen`: something calls that did not before."""

    strokes: int = 0
    risen: bool = False


class Bells:
    """Decides about all ringing. Asked once a second, or more seldom; seconds of any clock that only goes on."""

    def __init__(self, *, on: bool = True) -> None:
        self.on = on
        self.rings = 0
        """So many were to be heard so far."""
        self._reminders: dict[str, _Reminder] = {}
        self._free_from = -inf
        self._begun = False

    def ring(self, asks: list[Ask], now: float, *, sending: bool) -> Ring:
        """Take what calls now, the most urgent first, and tell what is to be heard."""
        risen, strokes = False, 0
        begun, self._begun = self._begun, True
        for ask in asks:
            risen = self._of(ask.name).take(ask) or risen
        for ask in asks:
            reminder = self._of(ask.name)
            if now >= self._free_from and reminder.wants(ask, now, sending=sending):
                reminder.rung(now)
                if self.on:
                    self.rings, strokes = self.rings + 1, int(ask.strokes)
                    self._free_from = now + (strokes - 1) * STROKE_SECONDS + APART_SECONDS
                    break
        # What stands when the screen begins is nothing new, and covers nothing that was said at the start.
        return Ring(strokes, risen and begun)

    def answer(self) -> None:
        """The operator has seen all that calls."""
        for reminder in self._reminders.values():
            reminder.answered, reminder.again_heard = reminder.level, reminder.again

    def calls(self, name: str) -> bool:
        """Whether a reminder stands unanswered, as of the last second."""
        reminder = self._of(name)
        return reminder.level > reminder.answered

    def answered(self, name: str, level: int) -> bool:
        """Whether a reminder of this level was answered and is quiet."""
        return 0 < level <= self._of(name).answered

    def _of(self, name: str) -> _Reminder:
        return self._reminders.setdefault(name, _Reminder())


class _Reminder(Struct):
    """What is known of one thing that calls: how urgent it is, up to where it was answered, up to where rung."""

    level: int = 0
    answered: int = 0
    heard: int = 0
    again: int = 0
    again_heard: int = 0
    rung_at: float = -inf

    def take(self, ask: Ask) -> bool:
        """How urgent it is now; returns whether that is more than before."""
        before, self.level = self.level, ask.level
        if ask.level < before:
            # It is another thing that calls now, or none: what was answered and heard was the one before.
            self.answered = self.heard = 0
        if ask.again > self.again:
            self.answered = 0
        self.again = ask.again
        return ask.level > before

    def wants(self, ask: Ask, now: float, *, sending: bool) -> bool:
        """Whether it is to be rung for now."""
        if ask.level <= self.answered:
            return False
        first = ask.level > self.heard
        if sending and not (first and ask.anyway):
            return False
        if first:
            return True
        since = now - self.rung_at
        if ask.repeat_seconds is None:
            return ask.again > self.again_heard and since >= REPEAT_SECONDS
        return since >= ask.repeat_seconds and ask.rises_in > APART_SECONDS + STROKE_SECONDS

    def rung(self, now: float) -> None:
        """It was rung for; where the bell is off, it counts as rung."""
        self.heard, self.again_heard, self.rung_at = self.level, self.again, now


class Named(Struct):
    """Makes a level of things with names that come and go: it grows with each one that is new."""

    names: AbstractSet[str] = frozenset()
    count: int = 0

    def level(self, names: AbstractSet[str]) -> int:
        """The level while these stand; 0 for none."""
        self.count += len(names - self.names)
        self.names = frozenset(names)
        return self.count if names else 0
