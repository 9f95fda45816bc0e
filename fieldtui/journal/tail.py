"""Where reading a journal stands: what was taken, what waits for its line end, where the sound part ends."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from copy import copy

from fieldtui.journal.chain import Chain
from fieldtui.journal.line import MOST_LINE_BYTES, Envelope

CHUNK_BYTES = 64 * 1024
"""So few that a piece stays near the processor until it is folded: four times as many cost a tenth more time."""
MARK_BYTES = 32
"""More than the stated sum of a line and its line end, so that no other file looks the same there."""

ReadAt = Callable[[int, int], bytes]
"""Up to so many bytes, from this offset."""


class Tail:
    """Takes the bytes of a file that grows; holds no more than one unfinished line of it."""

    def __init__(self) -> None:
        self.chain = Chain()
        self.offset = 0
        """Up to here everything was taken. An unfinished line lies after it: its writer may cut it off."""
        self.sound_end = 0
        """After the last line of which something was kept."""
        self.unfinished = b""
        self.overlong = False
        """Whether the last line taken was given up because it is longer than any of ours."""
        self._mark = b""

    def read(self, read_at: ReadAt) -> Iterator[list[Envelope]]:
        """What was added since the last call, piece by piece."""
        while chunk := read_at(CHUNK_BYTES, self.offset):
            if len(chunk) == CHUNK_BYTES and b"\n" not in chunk:
                chunk = read_at(MOST_LINE_BYTES, self.offset)
            whole, end, self.unfinished = chunk.rpartition(b"\n")
            if not end:
                if len(chunk) < MOST_LINE_BYTES:
                    return
                # No line of ours is that long: take it as damage, so that memory stays bounded.
                whole, self.unfinished = chunk, b""
            yield self.take(whole, end)
        self.unfinished = b""

    def take(self, whole: bytes, end: bytes) -> list[Envelope]:
        """Lines, and the line end of the last; without one, the last is longer than a line can be."""
        # Split on the line feed only: splitlines would also split inside texts, at U+2028 and others.
        split = whole.split(b"\n")
        lines, envelopes = iter(split), list[Envelope]()
        if self.overlong:
            next(lines)
        take_sound = self.chain.take_sound
        # Without an end it is one line, too long to be sound whatever its sum says.
        while (doubtful := take_sound(lines, envelopes) if end else next(lines, None)) is not None:
            envelopes += self.chain.take(doubtful)
        self.overlong = not end
        self.offset += len(whole) + len(end)
        if envelopes:
            passed_over = self.chain.lines - self.chain.last_kept
            self.sound_end = self.offset - sum(len(line) + 1 for line in split[len(split) - passed_over :])
        self._mark = (self._mark + whole[-MARK_BYTES:] + end)[-MARK_BYTES:]
        return envelopes

    def still_stands(self, read_at: ReadAt) -> bool:
        """Whether the file still holds, just before the offset, what was taken from there."""
        there = read_at(len(self._mark), self.offset - len(self._mark)) if self._mark else b""
        return self._mark.startswith(there)

    @property
    def lacks_line_end(self) -> bool:
        """Whether the unfinished bytes are a sound line but for the line end."""
        if not self.unfinished or self.overlong:
            return False
        probe = copy(self.chain)
        probe.damage = []
        return bool([*probe.take(self.unfinished)]) and not probe.damage

    @property
    def ragged_from(self) -> int | None:
        """Where the part begins that is to be moved aside: damaged last lines and an unfinished one."""
        start = self.sound_end if self.chain.kept else self.offset
        return start if self.unfinished or start < self.offset else None
