"""Tells by listening which of the battery formats a sender speaks, so that nobody has to set it."""

from __future__ import annotations

from collections import deque
from typing import TYPE_CHECKING

from fieldtui.feeds.label_frames import LabelFrames
from fieldtui.feeds.plain_lines import AmpsPositiveIs, PlainLines
from fieldtui.feeds.plausible import step_possible
from fieldtui.feeds.readings import BatteryReading, Item, Problem, problem

if TYPE_CHECKING:
    from collections.abc import Iterable

FAILURES_IN_A_ROW = 10
BYTES_IN_VAIN = 1024
"""So many bad frames or lines, or bytes without a good one, and the choice is open again.

Either is about ten seconds of a usual sender.
"""

_NO_FAILURES = frozenset(("hex_line", "duplicate_label"))
_HELD_PROBLEMS = 16


class ShuntRecogniser:
    """Sans-I/O parser that gives the bytes to both formats until one has clearly spoken.

    Clearly means one checked frame, or two plain lines in a row that agree. No byte is lost on the
    way: what the chosen one said before it was chosen comes with the choice, except a first plain line
    that the next ones contradict. It may have been torn at its start, and a torn `12.846` is a
    perfectly good `2.846`.
    """

    def __init__(self, amps_positive_is: AmpsPositiveIs = "charge") -> None:
        self._frames = LabelFrames()
        self._lines = PlainLines(amps_positive_is)
        self._noise = NoiseMeter()
        self._listen_to_both()

    @property
    def chosen(self) -> LabelFrames | PlainLines | None:
        """The parser that was recognised, or None while listening to both."""
        return self._chosen

    @property
    def pending(self) -> bool:
        """An unfinished frame or line is held by a parser that may still use it."""
        if self._chosen is not None:
            return self._chosen.pending
        return self._frames.pending or self._lines.pending

    def reset(self) -> None:
        """Forget everything, the choice too: the line was opened again, or bytes were lost."""
        self._noise = NoiseMeter()
        self._listen_to_both()

    def feed(self, data: bytes) -> list[Item]:
        """Take bytes in pieces of any size; return the readings and problems that they completed."""
        good_before = self._frames.good + self._lines.good
        items = self._audition(data) if self._chosen is None else self._attend(self._chosen, data)
        good = self._frames.good + self._lines.good > good_before
        if self._noise.hears_only_noise(data, good=good):
            items.append(problem("wrong_speed"))
        return items

    def _listen_to_both(self) -> None:
        self._frames.reset()
        self._lines.reset()
        self._chosen: LabelFrames | PlainLines | None = None
        self._frame_problems: deque[Item] = deque(maxlen=_HELD_PROBLEMS)
        self._line_problems: deque[Item] = deque(maxlen=_HELD_PROBLEMS)
        self._first_line: BatteryReading | None = None
        self._failures = 0
        self._in_vain = 0

    def _audition(self, data: bytes) -> list[Item]:
        from_frames = self._frames.feed(data)
        from_lines = self._lines.feed(data)
        if self._frames.good:
            self._chosen = self._frames
            return [*self._frame_problems, *from_frames]
        self._frame_problems.extend(from_frames)
        return self._agreeing_lines(from_lines)

    def _agreeing_lines(self, items: Iterable[Item]) -> list[Item]:
        settled: list[Item] = []
        for item in items:
            if self._chosen is not None:
                settled.append(item)
            elif not isinstance(item, BatteryReading):
                self._line_problems.append(item)
            elif self._first_line is not None and step_possible(self._first_line.volts, item.volts):
                self._chosen = self._lines
                settled = [*self._line_problems, self._first_line, item]
            else:
                self._first_line = item
        return settled

    def _attend(self, chosen: LabelFrames | PlainLines, data: bytes) -> list[Item]:
        good_before = chosen.good
        items = chosen.feed(data)
        failures = sum(isinstance(item, Problem) and item.code not in _NO_FAILURES for item in items)
        if chosen.good > good_before:
            self._failures = self._in_vain = 0
        else:
            self._failures += failures
            self._in_vain += len(data)
        if self._failures >= FAILURES_IN_A_ROW or self._in_vain >= BYTES_IN_VAIN:
            self._listen_to_both()
        return items


class NoiseMeter:
    """Notices that bytes come which no sender of text would send: the mark of a wrong line speed."""

    WINDOW_BYTES = 256
    LARGEST_SHARE = 0.3
    """Of bytes other than printable ASCII, CR, LF and TAB (common practice, no source). Right frames
    have one such byte in a hundred, the checksum."""

    _TEXT_BYTES = bytes([9, 10, 13, *range(0x20, 0x7F)])

    def __init__(self) -> None:
        self._start()

    def _start(self) -> None:
        self._bytes = 0
        self._odd_bytes = 0
        self._told = False

    def hears_only_noise(self, data: bytes, *, good: bool) -> bool:
        """Count `data`; True once in each stretch of noise, which a good frame or line ends."""
        if good:
            self._start()
            return False
        self._bytes += len(data)
        self._odd_bytes += len(data.translate(None, self._TEXT_BYTES))
        if self._bytes < self.WINDOW_BYTES:
            return False
        noisy = self._odd_bytes > self.LARGEST_SHARE * self._bytes
        self._bytes = self._odd_bytes = 0
        news = noisy and not self._told
        self._told = self._told or noisy
        return news
