"""Charge that several programs saw is counted once.

Two screens may read one shunt at the same time, and each writes lines whose sums cover all that it saw. A line
counts for the part of its time that no other writer's line has covered; within a line the current is taken as
even, which it nearly is: whatever changes it is written at once by everybody.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence

MOST_WRITERS = 16
MOST_SPANS = 64
"""Unbroken stretches that are remembered of each writer: lines come late by seconds, not by hours."""
JOINED_SECONDS = 0.5
"""Between two spans of one writer: less is the delay between a reading and its line."""

Span = tuple[float, float]
Writer = str | tuple[str, str | None] | None
"""Whatever tells the writers of one feed apart."""


class _Writer:
    """The stretches that the lines of one writer cover; the last of them still grows."""

    def __init__(self) -> None:
        self.last: float | None = None
        self.span = [float("nan"), float("nan")]
        self._spans: deque[list[float]] = deque(maxlen=MOST_SPANS)

    def begin_span(self, begin: float, end: float) -> None:
        self.span = [begin, end]
        self._spans.append(self.span)

    def touched(self, begin: float, end: float) -> list[Span]:
        """The stretches that have a part in common with this one."""
        return [(first, last) for first, last in self._spans if first < end and last > begin]


class CountedOnce:
    """Which stretches of the session are covered by whose lines."""

    def __init__(self) -> None:
        self._writers: dict[tuple[str, Writer], _Writer] = {}

    def share(self, feed: str, writer: Writer, at: float, covered_seconds: float) -> float:
        """Take a line at session second `at`; return the part of it, 0 to 1, that is news.

        The time that a line covers begins at the line of its writer before it; what is missing at its end is a
        gap. The first line of a writer covers what is right before it.
        """
        mine = self._writers.get((feed, writer)) or self._new_writer(feed, writer)
        last, mine.last = mine.last, at
        if covered_seconds <= 0:
            return 1.0
        begin = at - covered_seconds if last is None else last if last < at else at
        end, span = begin + covered_seconds, mine.span
        if 0 <= begin - span[1] <= JOINED_SECONDS:
            span[1] = end
        else:
            mine.begin_span(begin, end)
        if len(self._writers) == 1:
            return 1.0
        rivals = [one for (other, _), one in self._writers.items() if other == feed and one is not mine]
        touched = [each for one in rivals for each in one.touched(begin, end)]
        return _uncovered((begin, end), touched) / covered_seconds if touched else 1.0

    def _new_writer(self, feed: str, writer: Writer) -> _Writer:
        if len(self._writers) >= MOST_WRITERS:
            del self._writers[next(iter(self._writers))]
        new = self._writers[feed, writer] = _Writer()
        return new


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
