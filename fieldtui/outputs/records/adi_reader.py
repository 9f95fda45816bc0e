"""An ADI file cut into records, whoever wrote it. Sans I/O: bytes in, records out, never an exception.

Values are taken by their lengths, so a value may hold `<eor>` or look like a field. What a broken file costs is
the record that is broken. No more is held than one value and the record it belongs to.
Source of the structure: ADIF specification 3.1.6, ADI file format.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from enum import StrEnum

MOST_VALUE_BYTES = 64 * 1024
MOST_FIELDS = 256
_MOST_TAG_BYTES = 96
_LOOK_AHEAD = 4
"""Bytes after a value that tell whether its length was right; a byte order mark needs three at the start."""

_TAG = re.compile(rb"<(?:(EOH|EOR)|([^<>:,{}\x00-\x1f]{1,64}):([0-9]{1,9})(?::([A-Za-z]))?)>", re.IGNORECASE)
_HEADER_NAME = re.compile(r"ADIF_VER|CREATED_TIMESTAMP|PROGRAMID|PROGRAMVERSION|USERDEF[0-9]+")
_END = re.compile(rb"<eor>", re.IGNORECASE)
_ANY_TAG = re.compile(rb"<(?:eor|eoh|[A-Za-z][A-Za-z0-9_]*:[0-9]+(?::[A-Za-z])?)>", re.IGNORECASE)
_AFTER_VALUE = b"< \t\r\n"


class Doubt(StrEnum):
    """Why a record may not be what was meant."""

    LEFT_OVER = "text directly after a value: a length is wrong"
    TWICE = "a field twice: an <EOR> is missing"
    UNCLOSED = "no <EOR> at the end of the file"
    PAST_END = "a value runs past the end of the file"
    TOO_LONG = f"a value of more than {MOST_VALUE_BYTES // 1024} kB"
    TOO_MANY = f"more than {MOST_FIELDS} fields"


class Remark(StrEnum):
    """What was tolerated: the records are as they were meant."""

    NO_EOH = "the header has no <EOH>: records were taken from the first field of a contact on"
    NO_TEXT = "a header without text before it"
    NOT_ASCII = "characters that ADIF does not allow; read as UTF-8"
    WINDOWS = "characters that are not UTF-8; read as Windows-1252"
    CHARACTERS = "a length that counts characters and not bytes"
    LINE_ENDS = "a length that counts line ends as two characters where the file has one"
    ZEROS = "leading zeros in a length"
    EMPTY = "an empty record"
    NOT_ADIF = "no ADIF was found in the file"


@dataclass(slots=True)
class AdiRecord:
    """One record: values by upper-case name, without empty ones; `number` counts from 1."""

    number: int
    fields: dict[str, str] = field(default_factory=dict)
    doubts: list[Doubt] = field(default_factory=list)


class AdiReader:
    """Takes the bytes of a file in pieces of any size; `header` and `remarks` grow meanwhile."""

    def __init__(self) -> None:
        self.header: dict[str, str] = {}
        self.remarks: dict[Remark, list[int]] = {}
        """For each remark how often it applied, and the record that it applied to first."""
        self._data = bytearray()
        self._started = self._ended = False
        self._in_header = self._header_possible = False
        self._tags = 0
        self._record = AdiRecord(1)

    def feed(self, data: bytes) -> Iterator[AdiRecord]:
        """More of the file."""
        self._data += data
        yield from self._take()

    def close(self) -> Iterator[AdiRecord]:
        """The file is at its end."""
        self._ended = True
        yield from self._take()
        if not self._tags:
            self._remark(Remark.NOT_ADIF)
            return
        if self._in_header:
            self._leave_open_header()
        if self._record.fields or self._record.doubts:
            yield from self._close_record(Doubt.UNCLOSED)

    # One piece after the other

    def _take(self) -> Iterator[AdiRecord]:
        if not self._started and not self._start():
            return
        position = 0
        while True:
            start = self._data.find(b"<", position)
            if start < 0:
                position = len(self._data)
                break
            found = _TAG.match(self._data, start, start + _MOST_TAG_BYTES)
            if found is None:
                if len(self._data) - start < _MOST_TAG_BYTES and not self._ended:
                    position = start
                    break
                position = start + 1
                continue
            if found[1] is None and not self._whole_value_is_here(found.end(), int(found[3])):
                position = start
                break
            self._tags += 1
            if found[1] is not None:
                position = found.end()
                yield from self._marker(found[1].upper() == b"EOH")
            else:
                position, records = self._value(found.end(), found[2], found[3])
                yield from records
        del self._data[:position]

    def _start(self) -> bool:
        if len(self._data) < _LOOK_AHEAD and not self._ended:
            return False
        # By the letter anything before the first `<` makes a header; a mark or a blank line was no wish for one.
        self._in_header = bool(self._data) and not self._data.startswith(b"<")
        self._header_possible = True
        self._started = True
        return True

    def _whole_value_is_here(self, start: int, length: int) -> bool:
        if self._ended or length > MOST_VALUE_BYTES:
            return True
        # In UTF-8 a character has up to four bytes, and a length may count characters.
        return len(self._data) >= start + 4 * length + _LOOK_AHEAD or (
            len(self._data) >= start + length + _LOOK_AHEAD and self._data[start : start + length].isascii()
        )

    def _marker(self, is_header_end: bool) -> Iterator[AdiRecord]:
        if is_header_end:
            if self._header_possible and not self._in_header:
                self._remark(Remark.NO_TEXT)
                self.header, self._record = self._record.fields, AdiRecord(1)
            self._in_header = self._header_possible = False
            return
        if self._in_header:
            self._leave_open_header()
        self._header_possible = False
        yield from self._close_record()

    def _leave_open_header(self) -> None:
        """No end of the header came: what looks like one stays the header, the rest begins a record."""
        self._in_header = self._header_possible = False
        self._remark(Remark.NO_EOH)
        names = [*self.header]
        first = next((at for at, name in enumerate(names) if not _HEADER_NAME.fullmatch(name)), len(names))
        self._record.fields = {name: self.header.pop(name) for name in names[first:]}

    def _close_record(self, *doubts: Doubt) -> Iterator[AdiRecord]:
        record = self._record
        self._record = AdiRecord(record.number + 1)
        record.doubts += doubts
        if record.fields or record.doubts:
            yield record
        else:
            self._remark(Remark.EMPTY, record.number)

    # Values

    def _value(self, start: int, raw_name: bytes, raw_length: bytes) -> tuple[int, list[AdiRecord]]:
        length, name = int(raw_length), raw_name.strip().decode("utf-8", "replace").upper()
        if len(raw_length) > 1 and raw_length.startswith(b"0"):
            self._remark(Remark.ZEROS, self._record.number)
        if length > MOST_VALUE_BYTES:
            return start, [*self._put(name, "", Doubt.TOO_LONG)]
        end, doubt = self._end_of_value(start, length)
        value = self._text(bytes(self._data[start:end])) if doubt is not Doubt.PAST_END else ""
        return end, [*self._put(name, value, doubt)]

    def _end_of_value(self, start: int, length: int) -> tuple[int, Doubt | None]:
        """Where a value ends: by bytes, by characters if that fits better, or before what it swallowed."""
        end = start + length
        if end <= len(self._data) and self._fits(end):
            return end, None
        by_characters = self._by_characters(start, length)
        if by_characters is not None:
            self._remark(Remark.CHARACTERS, self._record.number)
            return by_characters, None
        by_line_ends = self._by_line_ends(start, end)
        if by_line_ends is not None:
            self._remark(Remark.LINE_ENDS, self._record.number)
            return by_line_ends, None
        swallowed = bytes(self._data[start : min(end, len(self._data))])
        if _END.search(swallowed) and (tag := _ANY_TAG.search(swallowed)):
            # It ate the end of its record: better to break it than to lose the records after it.
            return start + tag.start(), Doubt.LEFT_OVER
        if end > len(self._data):
            return len(self._data), Doubt.PAST_END
        return end, Doubt.LEFT_OVER

    def _fits(self, end: int) -> bool:
        return end == len(self._data) or self._data[end] in _AFTER_VALUE

    def _by_characters(self, start: int, length: int) -> int | None:
        area = bytes(self._data[start : start + 4 * length])
        if area[:length].isascii():
            return None
        text = area.decode("utf-8", "ignore")[:length]
        end = start + len(text.encode())
        return end if len(text) == length and area.startswith(text.encode()) and self._fits(end) else None

    def _by_line_ends(self, start: int, end: int) -> int | None:
        """Where it ends if every CR LF of the value was made one LF after its length was counted."""
        value, taken = bytes(self._data[start:end]), 0
        if b"\n" not in value or b"\r" in value:
            return None
        for at, byte in enumerate(value):
            if taken == end - start:
                return start + at if self._fits(start + at) else None
            taken += 2 if byte == 10 else 1
        return None

    def _text(self, value: bytes) -> str:
        if value.isascii():
            return value.decode("ascii")
        try:
            text, remark = value.decode("utf-8"), Remark.NOT_ASCII
        except UnicodeDecodeError:
            text, remark = value.decode("cp1252", "replace"), Remark.WINDOWS
        self._remark(remark, self._record.number)
        return text

    def _put(self, name: str, value: str, doubt: Doubt | None) -> Iterator[AdiRecord]:
        if self._in_header:
            if value and name not in self.header and len(self.header) < MOST_FIELDS:
                self.header[name] = value
            return
        record = self._record
        if name in record.fields:
            yield from self._close_record(Doubt.TWICE)
            record = self._record
            record.doubts.append(Doubt.TWICE)
        if doubt and doubt not in record.doubts:
            record.doubts.append(doubt)
        if value and len(record.fields) >= MOST_FIELDS:
            if Doubt.TOO_MANY not in record.doubts:
                record.doubts.append(Doubt.TOO_MANY)
        elif value:
            record.fields[name] = value

    def _remark(self, remark: Remark, number: int = 0) -> None:
        told = self.remarks.setdefault(remark, [0, number])
        told[0] += 1
