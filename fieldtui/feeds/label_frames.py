"""Frames of tab-separated labels and values, closed by a modulo-256 checksum byte.

    stream  = *( frame / hexline )
    frame   = 1*( CR LF label TAB value ) CR LF "Checksum" TAB sumbyte
    label   = 1*32( printable except ":" )      value = 0*64( printable except ":" )
    hexline = ":" 1*128( hex digit ) [CR] LF

The format is a maker's published serial text protocol for battery shunts: 19200 baud, 8N1, about one frame a second.
All bytes of a frame, from the first CR to the sum byte, add up to 0 modulo 256. The sum byte may be
any byte, also CR, LF, TAB or ":", and the line end stands *before* each field: a reader of lines
cannot do this, so it is a machine over bytes. A hex line may interrupt a frame anywhere but before
the sum byte; its bytes are not in the sum, and afterwards the text goes on where it stopped.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import Enum, auto
from typing import TYPE_CHECKING

from fieldtui.feeds.label_fields import read_fields
from fieldtui.feeds.readings import Item, problem

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

LONGEST_LABEL = 32
LONGEST_VALUE = 64
LONGEST_HEX_LINE = 128
MOST_FIELDS = 64
"""Bounds, so that a stream of nonsense can go on for hours without filling memory."""

CHECKSUM = b"Checksum"
TAB, LF, CR, COLON = b"\t\n\r:"
_HEX_DIGITS = frozenset(b"0123456789ABCDEFabcdef")


class _At(Enum):
    """Where in the grammar the next byte stands."""

    OUTSIDE = auto()
    LINE_END = auto()
    LABEL = auto()
    VALUE = auto()
    SUM = auto()


class LabelFrames:
    """Sans-I/O parser of label/value frames; never raises, holds at most about six kilobytes.

    A damaged frame gives one problem, at its sum byte, and costs at most itself and the next one.
    A frame whose beginning was not seen is never believed, even if its rest happens to sum to zero.
    """

    def __init__(self) -> None:
        self.reset()

    def reset(self) -> None:
        """Forget everything: the line was opened again, or bytes were lost."""
        self.good = 0
        """Frames since then whose checksum was right, whether or not they gave a reading."""
        self._hex: bytearray | None = None
        self._begin()

    def _begin(self) -> None:
        self._at = _At.OUTSIDE
        self._sum = 0
        self._spoilt: str | None = None
        self._label = bytearray()
        self._value = bytearray()
        self._fields: dict[bytes, bytes] = {}
        self._repeated: dict[bytes, None] = {}

    @property
    def pending(self) -> bool:
        """An unfinished frame or hex line is held."""
        return self._at is not _At.OUTSIDE or self._hex is not None

    def feed(self, data: bytes) -> list[Item]:
        """Take bytes in pieces of any size; return the readings and problems that they completed."""
        items: list[Item] = []
        for byte in data:
            if self._hex is not None:
                self._hex_byte(byte, items)
            elif byte == COLON and self._at is not _At.SUM:
                self._hex = bytearray()
            else:
                self._sum = (self._sum + byte) & 0xFF
                self._text_byte(byte, items)
        return items

    def _hex_byte(self, byte: int, items: list[Item]) -> None:
        assert self._hex is not None
        if byte != LF:
            if len(self._hex) <= LONGEST_HEX_LINE + 1:  # one more for CR, one more to tell too long
                self._hex.append(byte)
            return
        digits = self._hex.removesuffix(b"\r")
        good = 1 <= len(digits) <= LONGEST_HEX_LINE and _HEX_DIGITS.issuperset(digits)
        items.append(problem("hex_line" if good else "bad_hex_line"))
        self._hex = None

    def _text_byte(self, byte: int, items: list[Item]) -> None:
        if self._at is _At.SUM:
            self._close_frame(items)
        elif byte == CR:
            self._close_field()
        elif self._at is _At.OUTSIDE:
            self._spoil("torn_start")
        elif self._at is _At.LINE_END and byte == LF:
            self._at = _At.LABEL
        elif byte == TAB and self._at is _At.LABEL:
            self._at = _At.SUM if self._label == CHECKSUM else _At.VALUE
        else:
            self._keep(byte)

    def _keep(self, byte: int) -> None:
        if self._at is _At.LINE_END:  # the LF got lost: the frame is, but not the sight of its end
            self._spoil("bad_line")
            self._at = _At.LABEL
        text, longest = (
            (self._label, LONGEST_LABEL) if self._at is _At.LABEL else (self._value, LONGEST_VALUE)
        )
        if byte < 0x20 or byte == 0x7F:
            self._spoil("bad_line")
        elif len(text) < longest:
            text.append(byte)
        else:
            self._spoil("overlong")

    def _close_field(self) -> None:
        if self._at is _At.VALUE:
            self._store(bytes(self._label), bytes(self._value))
        elif self._at is not _At.OUTSIDE:
            self._spoil("bad_line")
        self._label.clear()
        self._value.clear()
        self._at = _At.LINE_END

    def _store(self, label: bytes, value: bytes) -> None:
        if label in self._fields:
            self._repeated[label] = None
        elif len(self._fields) < MOST_FIELDS:
            self._fields[label] = value
        else:
            self._spoil("overlong")

    def _spoil(self, code: str) -> None:
        """Give the frame up, but stay in step until its sum byte; the first reason is the one reported."""
        if self._spoilt is None:
            self._spoilt = code

    def _close_frame(self, items: list[Item]) -> None:
        if fault := self._fault():
            items.append(problem(fault))
        else:
            self.good += 1
            items.extend(problem("duplicate_label") for _ in self._repeated)
            items.extend(read_fields(self._fields))
        self._begin()

    def _fault(self) -> str | None:
        if self._spoilt is not None:
            return self._spoilt
        if self._sum:
            return "bad_checksum"
        return None if self._fields else "bad_line"


def checksum_byte(data: bytes) -> int:
    """Return the byte (0 to 255) that makes the sum of `data` and itself 0 modulo 256."""
    return -sum(data) & 0xFF


def encode_label_frame(fields: Mapping[str, str] | Sequence[tuple[str, str]]) -> bytes:
    """Write one frame as a shunt does, with its checksum byte.

    Raises ValueError when a label or a value cannot stand in a frame: see the grammar above.
    """
    pairs: Iterable[tuple[str, str]] = fields.items() if isinstance(fields, Mapping) else fields
    text = b"".join(_encode_field(label, value) for label, value in pairs)
    if not text:
        raise ValueError("a frame needs at least one field")
    text += b"\r\n" + CHECKSUM + b"\t"
    return text + bytes([checksum_byte(text)])


def _encode_field(label: str, value: str) -> bytes:
    if not 1 <= len(label) <= LONGEST_LABEL or not _fits(label) or label == CHECKSUM.decode():
        raise ValueError(f"{label!r} cannot be a label: 1 to {LONGEST_LABEL} printable ASCII, no colon")
    if len(value) > LONGEST_VALUE or not _fits(value):
        raise ValueError(f"{value!r} cannot be a value: up to {LONGEST_VALUE} printable ASCII, no colon")
    return f"\r\n{label}\t{value}".encode("ascii")


def _fits(text: str) -> bool:
    return text.isascii() and text.isprintable() and ":" not in text
