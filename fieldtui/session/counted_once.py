"""Charge that several programs saw is counted once.

Two screens may read one shunt at the same time, and each writes lines whose sums cover all that it saw. A line
counts for the part of its time that no other writer's line has covered; within a line the current is taken as
even, which it nearly is: whatever changes it is written at once by everybody.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence

from msgspec import Struct, field

MOST_WRITERS = 16
MOST_SPANS = 64
"""Unbroken stretches that are remembered of each writer: lines come late by seconds, not by hours."""
JOINED_SECONDS = 0.5
"""Between two spans of one writer: less is the delay between a reading and its line."""

Span = tuple[float, float]


class _Writer(Struct):
    last: float | None = None
    spans: deque[Span] = field(default_factory=lambda: deque(maxlen=MOST_SPANS))


class CountedOnce:
    """Which stretches of the session are covered by whose lines."""

    def __init__(self) -> None:
        self._writers: dict[tuple[str, str | None], _Writer] = {}

    def share(self, feed: str, writer: str | None, at: float, covered_seconds: float) -> float:
        """Take a line at session second `at`; return the part of it, 0 to 1, that is news.

        The time that a line covers begins at the line of its writer before it; what is missing at its end is a
        gap. The first line of a writer covers what is right before it.
        """
        mine = self._of(feed, writer)
        rivals = [one for (other, _), one in self._writers.items() if other == feed and one is not mine]
        begin = at - covered_seconds if mine.last is None else min(mine.last, at)
        mine.last = at
        if covered_seconds <= 0:
            return 1.0
        span = (begin, begin + covered_seconds)
        _add(mine.spans, span)
        touched = [each for one in rivals for each in one.spans if each[0] < span[1] and each[1] > span[0]]
        return _uncovered(span, touched) / covered_seconds if touched else 1.0

    def _of(self, feed: str, writer: str | None) -> _Writer:
        key = (feed, writer)
        if key not in self._writers:
            if len(self._writers) >= MOST_WRITERS:
                del self._writers[next(iter(self._writers))]
            self._writers[key] = _Writer()
        return self._writers[key]


def _add(spans: deque[Span], span: Span) -> None:
    if spans and 0 <= span[0] - spans[-1][1] <= JOINED_SECONDS:
        spans[-1] = (spans[-1][0], span[1])
    else:
        spans.append(span)


def _uncovered(span: Span, others: Sequence[Span]) -> float:
    """Seconds of `span` that lie in none of the others."""
    begin, end = span
    news, reached = 0.0, begin
    for other_begin, other_end in sorted(others):
        if other_end <= reached:
            continue
        news += max(0.0, other_begin - reached)
        reached = max(reached, other_end)
        if reached >= end:
            return news
    return news + max(0.0, end - reached)
