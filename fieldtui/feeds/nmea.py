"""The sentences of a position receiver, NMEA 0183, out of a stream of bytes.

    sentence = "$" body "*" 2( hex digit ) [CR] LF

The checksum is the exclusive or of all bytes of the body. The standard allows 82 bytes; receivers of several
systems exceed that (common practice, no source), so the bound here is 255. Every "$" begins again, so that one
damaged sentence costs no other. A sentence without its checksum is refused: half a sentence often looks whole.
"""

from __future__ import annotations

import re

from fieldtui.feeds.nmea_fields import FieldError
from fieldtui.feeds.nmea_sentences import read_sentence
from fieldtui.feeds.position_merge import PositionMerger
from fieldtui.feeds.readings import Item, problem
from fieldtui.feeds.safe_text import quoted

LONGEST_SENTENCE = 255
"""Bytes from "$" to the last digit of the checksum."""

DOLLAR = b"$"
_LINE_END = re.compile(rb"[\r\n]")
_CHECKED = re.compile(rb"([\x20-\x7e]*)\*([0-9A-Fa-f]{2})")


class NmeaSentences:
    """Sans-I/O parser; never raises, holds at most one sentence.

    A sentence of another kind, or of a maker's own, is passed over in silence and counted in `passed_over`;
    what is not a sentence at all (`!`, noise, the torn first line) leaves no trace but lost time.
    """

    def __init__(self) -> None:
        self._merger = PositionMerger()
        self.reset()

    def reset(self) -> None:
        """Forget everything: the line was opened again, or bytes were lost."""
        self.good = 0
        """Sentences since then whose checksum was right."""
        self.passed_over = 0
        """Of those, the ones that say nothing that is wanted."""
        self._sentence: bytearray | None = None
        self._merger.reset()

    @property
    def pending(self) -> bool:
        """An unfinished sentence is held."""
        return self._sentence is not None

    def feed(self, data: bytes) -> list[Item]:
        """Take bytes in pieces of any size; return the readings and problems that they completed."""
        items: list[Item] = []
        first, *begun = data.split(DOLLAR)
        self._extend(first, items)
        for piece in begun:
            if self._sentence is not None:  # another one begins in the middle of it
                items.append(self._cut())
            self._sentence = bytearray()
            self._extend(piece, items)
        return items

    def _extend(self, piece: bytes, items: list[Item]) -> None:
        if self._sentence is None:
            return
        end = _LINE_END.search(piece)
        self._sentence += piece[: end.start()] if end else piece
        if len(self._sentence) >= LONGEST_SENTENCE:
            items.append(problem("overlong"))
            self._sentence = None
        elif end:
            items.extend(self._close(bytes(self._sentence)))

    def _close(self, sentence: bytes) -> list[Item]:
        self._sentence = None
        match = _CHECKED.fullmatch(sentence)
        if match is None:
            return [self._cut(sentence)]
        body = match[1]
        if checksum(body) != int(match[2], 16):
            return [problem("sentence_checksum", quoted(DOLLAR + sentence))]
        self.good += 1
        try:
            read = read_sentence(body.decode("ascii"))
        except FieldError as wrong:
            return [problem("sentence_value", str(wrong))]
        if read is None:
            self.passed_over += 1
            return []
        return self._merger.take(read)

    def _cut(self, sentence: bytes | None = None) -> Item:
        shown = bytes(self._sentence or b"") if sentence is None else sentence
        return problem("sentence_cut", quoted(DOLLAR + shown))


def checksum(body: bytes) -> int:
    """Return the exclusive or of all bytes (NMEA 0183)."""
    value = 0
    for byte in body:
        value ^= byte
    return value


def encode_sentence(body: str) -> bytes:
    """Write a sentence as a receiver does, with its checksum and line end."""
    data = body.encode("ascii")
    return b"$%b*%02X\r\n" % (data, checksum(data))
