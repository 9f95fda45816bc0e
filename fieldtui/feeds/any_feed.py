"""Tells by listening what kind of feed a line carries: a battery, a position receiver, a modem.

Each kind has a parser that gives a reading only once it is sure, so the first to give one is right.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Mapping

from fieldtui.feeds.readings import READINGS, Item, Parser, Problem

BYTES_IN_VAIN = 4096
"""So many without a reading, and the choice is open again: another device was plugged in."""
MOST_HELD = 16
_SAID_AT_ONCE = frozenset(("wrong_speed",))


class AnyFeed:
    """Sans-I/O parser over several kinds; `kinds` maps the name of a kind to a fresh parser."""

    def __init__(self, kinds: Mapping[str, Parser]) -> None:
        self._kinds = dict(kinds)
        self._in_vain = 0
        self._listen_to_all()

    @property
    def kind(self) -> str | None:
        """The kind that was recognised, or None while listening to all."""
        return self._kind

    @property
    def pending(self) -> bool:
        """An unfinished piece is held by a parser that may still use it."""
        return any(parser.pending for parser in self._attended())

    def reset(self) -> None:
        """Forget everything, the choice too."""
        self._listen_to_all()

    def feed(self, data: bytes) -> list[Item]:
        """Take bytes in pieces of any size; return the readings and problems that they completed."""
        if self._kind is None:
            return self._audition(data)
        items = self._kinds[self._kind].feed(data)
        self._in_vain = 0 if _has_reading(items) else self._in_vain + len(data)
        if self._in_vain >= BYTES_IN_VAIN:
            self._listen_to_all()
        return items

    def _attended(self) -> list[Parser]:
        return [self._kinds[self._kind]] if self._kind else list(self._kinds.values())

    def _listen_to_all(self) -> None:
        for parser in self._kinds.values():
            parser.reset()
        self._kind: str | None = None
        self._held: dict[str, deque[Item]] = {kind: deque(maxlen=MOST_HELD) for kind in self._kinds}
        self._in_vain = 0

    def _audition(self, data: bytes) -> list[Item]:
        said = {kind: parser.feed(data) for kind, parser in self._kinds.items()}
        for kind, items in said.items():
            if _has_reading(items):
                self._kind = kind
                return [*self._held[kind], *items]
        urgent: list[Item] = []
        for kind, items in said.items():
            urgent += [each for each in items if isinstance(each, Problem) and each.code in _SAID_AT_ONCE]
            self._held[kind].extend(each for each in items if each not in urgent)
        return urgent


def _has_reading(items: list[Item]) -> bool:
    return any(isinstance(item, READINGS) for item in items)
