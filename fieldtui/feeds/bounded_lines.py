"""Cuts a stream of bytes at LF, holding at most one line of bounded length."""

from __future__ import annotations

from collections.abc import Iterator


class BoundedLines:
    """Lines out of pieces of any size. A line of more than `longest` bytes, without its LF, is given as None."""

    def __init__(self, longest: int) -> None:
        self._longest = longest
        self._line = bytearray()
        self._overlong = False

    @property
    def pending(self) -> bool:
        """An unfinished line is held, or is being passed over."""
        return bool(self._line) or self._overlong

    def feed(self, data: bytes) -> Iterator[bytes | None]:
        """Take bytes and give the lines that they complete; has to be walked to its end."""
        *ended, rest = data.split(b"\n")
        for piece in ended:
            self._extend(piece)
            yield None if self._overlong else bytes(self._line)
            self._line.clear()
            self._overlong = False
        self._extend(rest)

    def _extend(self, piece: bytes) -> None:
        if self._overlong or len(self._line) + len(piece) > self._longest:
            self._overlong = True
            self._line.clear()
        else:
            self._line += piece
