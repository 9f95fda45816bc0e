"""Keeps a talkative sender from flooding the program: what is parsed, and what is passed on."""

from __future__ import annotations

from collections import deque
from operator import itemgetter

from fieldtui.feeds.readings import Problem, Timed

WINDOW_SECONDS = 0.1
MOST_BYTES = 2048
"""In a window: nearly twice what a line at 115200 baud can bring."""
MOST_BYTES_OF_SERVICE = 32_768
"""In a window from a device on USB or a service on the network, which hands over a second's worth at once."""
MOST_READINGS = 50
"""In a batch: far more than any battery needs."""

WHOLE_BYTES = 8192
WHOLE_READINGS = 2048
"""For a feed of which nothing may be lost, such as packets: it is taken at this pace, the rest waits in the line.
Two windows hold fewer items than a batch: no frame has fewer than 17 bytes, and faults are summed."""


class FloodGate:
    """Says how many bytes may still be parsed in this tenth of a second.

    The rest is for the caller to read and throw away, rather than to leave in the line: a queue that
    is worked off slowly would show old numbers as if they were new.
    """

    def __init__(self, most_bytes: int = MOST_BYTES) -> None:
        self._most_bytes = most_bytes
        self._window_began = float("-inf")
        self._left = 0

    def room(self, now: float) -> int:
        """Return the number of bytes that may be parsed at this moment; 0 means throw away."""
        if now - self._window_began >= WINDOW_SECONDS:
            self._window_began, self._left = now, self._most_bytes
        return self._left

    def spend(self, size: int) -> None:
        """Count bytes that were parsed."""
        self._left = max(0, self._left - size)


class Batch:
    """Collects what is delivered together: at most ten batches a second, each of bounded size.

    Of many readings the newest are kept; of problems of the same code, the first.
    """

    def __init__(self, most_readings: int = MOST_READINGS) -> None:
        self._delivered_at = float("-inf")
        self._arrivals = 0
        self._readings: deque[tuple[int, Timed]] = deque(maxlen=most_readings)
        self._problems: dict[str, tuple[int, Timed]] = {}

    def add(self, timed: Timed) -> None:
        """Take one more item."""
        self._arrivals += 1
        if isinstance(timed.item, Problem):
            self._problems.setdefault(timed.item.code, (self._arrivals, timed))
        else:
            self._readings.append((self._arrivals, timed))

    def take_if_due(self, now: float) -> tuple[Timed, ...]:
        """Return the items in the order of their arrival, or nothing when the last batch was just now."""
        if now - self._delivered_at < WINDOW_SECONDS:
            return ()
        return self.take(now)

    def take(self, now: float) -> tuple[Timed, ...]:
        """Return all items now: nothing more will come."""
        arrived = sorted((*self._problems.values(), *self._readings), key=itemgetter(0))
        self._readings.clear()
        self._problems.clear()
        if arrived:
            self._delivered_at = now
        return tuple(timed for _, timed in arrived)
