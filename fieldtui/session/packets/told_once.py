"""What several programs read from one port at the same moment is told by each, and counts once.

A serial port has one reader, a network port has as many as want to: two screens that read one modem both write every
frame. A second line counts only if its own writer has told the same before.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Hashable

from msgspec import Struct

MOST_REMEMBERED = 600
"""Lines within the time that is looked back: as many as a recorder keeps in a minute."""
MOST_WRITERS = 16


class _Told(Struct):
    what: Hashable
    seconds: float
    writers: set[str]
    count: int


class ToldOnce:
    """Remembers for some seconds what was told, and by whom."""

    def __init__(self, within_seconds: float) -> None:
        """`within_seconds`: how far apart, in session seconds, two lines of one and the same thing may be."""
        self._within = within_seconds
        self._told: deque[_Told] = deque(maxlen=MOST_REMEMBERED)
        self._writers: set[str] = set()

    def news(self, what: Hashable, writer: str | None, seconds: float, count: int = 1) -> int:
        """How much of that count nobody else has told. Older journals do not name writers: there all of it."""
        if writer is None:
            return count
        while self._told and seconds - self._told[0].seconds > self._within:
            self._told.popleft()
        if len(self._writers) < MOST_WRITERS:
            self._writers.add(writer)
        told = self._by_others(what, writer, seconds) if len(self._writers) > 1 else None
        if told is None:
            self._told.append(_Told(what, seconds, {writer}, count))
            return count
        told.writers.add(writer)
        more, told.count = max(0, count - told.count), max(count, told.count)
        return more

    def _by_others(self, what: Hashable, writer: str, seconds: float) -> _Told | None:
        """The oldest line of the same that this writer has no part in yet."""
        for told in self._told:
            same = told.what == what and writer not in told.writers
            if same and abs(told.seconds - seconds) <= self._within:
                return told
        return None
