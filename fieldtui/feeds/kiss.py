"""KISS: how frames are told apart on the line between a modem and a computer.

    stream = *( FEND frame FEND )      frame = type data
    in type and data FEND is sent as FESC TFEND, and FESC as FESC TFESC

The type's high half is the modem's port, its low half the command, of which 0 is data; FF is a whole of its own.
Nothing guards the bytes on this line: a frame was checked on the air, but not here.
Source: M. Chepponis and P. Karn, The KISS TNC (1987).
"""

from __future__ import annotations

import re

from msgspec import Struct

FEND, FESC, TFEND, TFESC = 0xC0, 0xDB, 0xDC, 0xDD
MOST_BYTES = 1024
"""Of a frame with its escapes: a bound, so that a line without FENDs does not fill memory. A whole AX.25 frame
of 328 bytes, every one of them escaped, fits."""
LEAVE_KISS = 0xFF

_END = bytes([FEND])
_BAD_ESCAPE = re.compile(rb"\xdb(?![\xdc\xdd])")
_ESCAPED = re.compile(rb"\xdb([\xdc\xdd])")
_ESCAPES = {b"\xdc": b"\xc0", b"\xdd": b"\xdb"}
_UNSAFE = re.compile(rb"[\xc0\xdb]")


class KissFrame(Struct, frozen=True):
    """One frame as it came. `port` is None for the byte that ends KISS."""

    port: int | None
    command: int
    data: bytes


class KissFault(Struct, frozen=True):
    """Bytes that were passed over; `code` is one of `PROBLEM_TEXTS`, `raw` at most `MOST_BYTES` of them."""

    code: str
    raw: bytes


class KissFrames:
    """Sans-I/O parser; never raises, and holds at most `MOST_BYTES`. A damaged frame costs itself alone."""

    def __init__(self) -> None:
        self.reset()

    def reset(self) -> None:
        """Forget everything: the line was opened again, or bytes were lost."""
        self._held = bytearray()
        self._begun = False
        """A FEND was seen: what came before is the modem's own talk, or the rest of a frame."""
        self._overlong = False
        self._talked = False

    @property
    def pending(self) -> bool:
        """An unfinished frame is held."""
        return self._begun and bool(self._held)

    def feed(self, data: bytes) -> list[KissFrame | KissFault]:
        """Take bytes in pieces of any size; return what they completed."""
        items: list[KissFrame | KissFault] = []
        *closed, rest = data.split(_END)
        for part in closed:
            self._keep(part)
            self._close(items)
        self._keep(rest)
        return items

    def _keep(self, part: bytes) -> None:
        room = MOST_BYTES - len(self._held)
        self._held += part[:room]
        self._overlong = self._overlong or len(part) > room

    def _close(self, items: list[KissFrame | KissFault]) -> None:
        raw, overlong = bytes(self._held), self._overlong
        self._held.clear()
        self._overlong = False
        if not self._begun:
            self._begun = True
            if raw and not self._talked:
                self._talked = True
                items.append(KissFault("bytes_before_fend", raw))
        elif overlong:
            items.append(KissFault("overlong", raw))
        elif raw:
            items.append(_read(raw))


def write_kiss(data: bytes, port: int = 0) -> bytes:
    """Return the bytes that hand one frame of data to a modem's port, 0 to 15."""
    if not 0 <= port <= 15:
        raise ValueError(f"a modem has ports 0 to 15, not {port}")
    content = _UNSAFE.sub(_escape, bytes([port << 4]) + data)
    return _END + content + _END


def _read(raw: bytes) -> KissFrame | KissFault:
    if _BAD_ESCAPE.search(raw):
        return KissFault("bad_escape", raw)
    whole = _ESCAPED.sub(lambda found: _ESCAPES[found[1]], raw)
    if whole[0] == LEAVE_KISS:
        return KissFrame(None, LEAVE_KISS, whole[1:])
    return KissFrame(whole[0] >> 4, whole[0] & 0x0F, whole[1:])


def _escape(found: re.Match[bytes]) -> bytes:
    return bytes([FESC, TFEND if found[0] == _END else TFESC])
