"""Following the chain of checksums from line to line; damage is named and passed over."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import suppress
from datetime import UTC
from zlib import crc32

from msgspec import Struct

from fieldtui.journal.line import (
    FIRST_SEED,
    MOST_LINE_BYTES,
    TAIL,
    TAIL_BYTES,
    UNREADABLE,
    Envelope,
    begins_as_written,
    check_sum,
    decode_envelope,
    read_envelope,
    stated_sum,
)

_JOINT = re.compile(rb'(?<=,"sum":"[0-9a-f]{8}"\}).(?=\{"seq":)', re.DOTALL)
"""Where two lines were joined because the byte between them is no longer a line end.

Quotation marks inside values are escaped, so no text of a value can look like this.
"""


class Damage(Struct, frozen=True):
    """A place where the file is not what was written: its line number, counted from 1, and what is wrong."""

    line: int
    what: str


def unfinished(lines: int) -> Damage:
    """What follows the last whole line of a file with so many lines."""
    return Damage(lines + 1, "unfinished: a power cut, or being written just now")


class Chain:
    """Takes lines in order and gives those that are proved. Holds nothing of what it has passed.

    The seed of a line is the sum that the line before it states. Where that line is damaged, the
    sum that its bytes really have is tried as well, so that one changed byte costs at most one line.
    """

    def __init__(self) -> None:
        self.lines = 0
        self.kept = 0
        self.last_kept = 0
        """Which of the lines was the last of which something was kept; 0 for none."""
        self.last_seq = 0
        self.seed = FIRST_SEED
        self.damage: list[Damage] = []
        self._other_seed: int | None = None
        self._seed_known = True

    def take_sound(self, lines: Iterator[bytes], kept: list[Envelope]) -> bytes | None:
        """Take lines as long as each is beyond doubt; give the first that is not, which `take` has to judge.

        Nearly all lines go this way, a million of them before a long session is resumed: so it is one loop that
        calculates each sum once, reads each line once, and calls nothing that can be said in place.
        """
        if self._other_seed is not None or not self._seed_known:
            return next(lines, None)
        doubtful, before, seed, keep = None, len(kept), self.seed, kept.append
        with suppress(*UNREADABLE):
            for doubtful in lines:
                seed = crc32(doubtful[:-TAIL_BYTES], seed)
                # An envelope leaves `data` raw: that it is UTF-8 is sure without a look only of ASCII.
                if not doubtful.endswith(TAIL % seed) or not doubtful.isascii():
                    break
                envelope = decode_envelope(doubtful)
                if envelope.at.tzinfo is not UTC:
                    break
                keep(envelope)
            else:
                doubtful = None
        if taken := len(kept) - before:
            self.lines += taken
            self.kept += taken
            self.last_kept, self.last_seq, self.seed = self.lines, kept[-1].seq, int(kept[-1].sum, 16)
        return doubtful

    def take(self, line: bytes) -> Iterator[Envelope]:
        """The envelope of one line (without its line end) if it is sound; what is not goes to `damage`."""
        self.lines += 1
        what, envelope = self._judge(line)
        if what and not self._judge(first := _JOINT.split(line, 1)[0])[0]:
            self.damage.append(Damage(self.lines, "its line end is damaged; the line that follows was read"))
            yield from self._resolve(first)
            for joined in _JOINT.split(line)[1:]:
                yield from self._resolve(joined)
            return
        yield from self._keep(line, what, envelope)

    def _resolve(self, line: bytes) -> Iterator[Envelope]:
        yield from self._keep(line, *self._judge(line))

    def _judge(self, line: bytes) -> tuple[str, Envelope | None]:
        """What is wrong with a line (nothing: an empty text), and its envelope."""
        if len(line) >= MOST_LINE_BYTES:
            return f"longer than a line can be ({MOST_LINE_BYTES} bytes)", None
        stated = stated_sum(line)
        if stated is None:
            return "does not end as a journal line", None
        if self._seed_known and not self._follows(line, stated):
            return self._why(line), None
        envelope = read_envelope(line)
        if envelope is None or not (self._seed_known or begins_as_written(line)):
            return self._no_envelope(), None
        if envelope.seq <= self.last_seq and self._after_damage:
            # Blocks that were never written may hold lines of another journal: their sums follow each other too.
            return (
                f"number {envelope.seq} behind number {self.last_seq}: a line of another journal, or moved",
                None,
            )
        return "", envelope

    @property
    def _after_damage(self) -> bool:
        """Whether the line before did not prove this one."""
        return self._other_seed is not None or not self._seed_known

    def _no_envelope(self) -> str:
        if not self._seed_known:
            return "not a journal line of this format"
        return "its checksum is right, but it is not a journal line of this format"

    def _follows(self, line: bytes, stated: int) -> bool:
        body = line[:-TAIL_BYTES]
        if stated == check_sum(body, self.seed):
            return True
        return self._other_seed is not None and stated == check_sum(body, self._other_seed)

    def _why(self, line: bytes) -> str:
        envelope = read_envelope(line)
        if envelope is None or envelope.seq == self.last_seq + 1:
            return "its checksum is wrong: bytes were changed"
        if envelope.seq > self.last_seq + 1:
            missing = envelope.seq - self.last_seq - 1
            return f"does not follow the line before: {missing} missing, moved or changed"
        return f"does not follow the line before: number {envelope.seq} comes again or was moved"

    def _keep(self, line: bytes, what: str, envelope: Envelope | None) -> Iterator[Envelope]:
        if envelope is not None and not self._seed_known:
            self.damage.append(
                Damage(self.lines, "cannot be proved, since the line before it is damaged; kept")
            )
        if envelope is None:
            self.damage.append(Damage(self.lines, what))
        stated = stated_sum(line)
        body_sum = check_sum(line[:-TAIL_BYTES], self.seed)
        self._other_seed = None
        if stated is not None:
            self.seed, self._seed_known = stated, True
            self._other_seed = body_sum if envelope is None else None
        else:
            self.seed, self._seed_known = body_sum, self._only_tail_damaged(line)
        if envelope is not None:
            self.kept += 1
            self.last_kept = self.lines
            self.last_seq = envelope.seq
            yield envelope
        elif stated is not None and not self._comes_again(line):
            self.last_seq += 1

    def _comes_again(self, line: bytes) -> bool:
        """Whether a damaged line still reads as one with a number that was there before."""
        read = read_envelope(line)
        return read is not None and read.seq <= self.last_seq

    @staticmethod
    def _only_tail_damaged(line: bytes) -> bool:
        """Whether the body still reads as one, and so seeds the next line."""
        return (
            begins_as_written(line) and read_envelope(line[:-TAIL_BYTES] + b',"sum":"00000000"}') is not None
        )
