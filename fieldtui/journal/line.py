"""One journal line: an event, when it happened, and a checksum that chains it to the line before.

A line is its body, then `,"sum":"xxxxxxxx"}`. The sum is CRC-32 (ISO/IEC/IEEE 8802-3, the one of zlib)
over the body's bytes, seeded with the sum of the line before: changed, removed, repeated and moved lines
show. It guards against accidents, not against somebody who recomputes it.
"""

from __future__ import annotations

import re
import zlib
from collections.abc import Callable
from datetime import UTC, datetime
from typing import Annotated

import msgspec

from fieldtui.journal.errors import OutOfBoundsError
from fieldtui.journal.event_types import MOST_CHARACTERS, Event
from fieldtui.journal.events import KIND_OF, KINDS, TELEMETRY
from fieldtui.journal.stamp import Stamp

FIRST_SEED = 0
TAIL = b',"sum":"%08x"}'
TAIL_BYTES = len(TAIL % 0)
MOST_LINE_BYTES = 256 * 1024
"""A longer line is damage: no event of this program comes near it."""

Word = Annotated[str, msgspec.Meta(max_length=64)]

_TAIL = re.compile(rb',"sum":"([0-9a-f]{8})"\}')
_HEAD = re.compile(rb'\{"seq":\d+,"at":"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z","mono":')


class Envelope(msgspec.Struct, frozen=True, gc=False):
    """A line as read: all but what it tells, which stays raw until somebody wants it."""

    seq: Annotated[int, msgspec.Meta(ge=1, le=2**53)]
    at: datetime
    mono: Annotated[float, msgspec.Meta(ge=-1e10, le=1e10)]
    boot: Word
    kind: Word
    data: msgspec.Raw
    sum: Word

    @property
    def stamp(self) -> Stamp:
        """When it was written, by the clocks of the machine that wrote it."""
        return Stamp(self.at, self.mono, self.boot)


decode_envelope = msgspec.json.Decoder(Envelope).decode
UNREADABLE = (msgspec.MsgspecError, RecursionError, UnicodeDecodeError)
"""What a decoder raises for bytes that are not what it reads."""


class _Readers(dict[str, Callable[[bytes | msgspec.Raw], Event]]):
    """A reader for each kind, made when the kind is met: a session uses a few of them, and none at its start."""

    def __missing__(self, kind: str) -> Callable[[bytes | msgspec.Raw], Event]:
        reader = self[kind] = msgspec.json.Decoder(KINDS[kind]).decode
        return reader


event_readers = _Readers()
_NAMED = re.compile(r"at `\$\.([a-z_]+)")
"""Where the field stands that a decoder complains of."""
_encode = msgspec.json.Encoder().encode


def check_sum(body: bytes, seed: int) -> int:
    """CRC-32 of a line's body, continued from the sum of the line before."""
    return zlib.crc32(body, seed)


def encode_data(event: Event) -> bytes:
    """The JSON of what an event tells, such that it can be read again.

    Lone surrogates, which pasted text can hold, become U+FFFD: no encoder takes them, and the entry
    must not be lost at the moment of writing. A text of more than `MOST_CHARACTERS` is cut.
    """
    try:
        data = _encode(event)
    except UnicodeEncodeError:
        return _encode(_made_fit(event))
    return data if len(data) <= MOST_CHARACTERS else _encode(_made_fit(event))


def checked_data(event: Event) -> bytes:
    """The same of what an operator entered or marked, read back once: what is told as kept must not be lost.

    Telemetry is bounded where it comes in, and comes many times a second: it is not read back.

    Raises:
        OutOfBoundsError: a value is out of its bounds.
    """
    try:
        data = encode_data(event)
        if type(event) not in TELEMETRY:
            event_readers[kind_of(event)](data)
    except (*UNREADABLE, OverflowError) as error:
        named = _NAMED.search(str(error))
        what = f"its {named[1].replace('_', ' ')}" if named else "what it holds"
        raise OutOfBoundsError(
            f"this {kind_of(event).replace('-', ' ')} cannot be kept: {what} is out of bounds; correct it"
        ) from error
    return data


def _made_fit(event: Event) -> Event:
    return type(event)(**{name: _fitting(getattr(event, name)) for name in event.__struct_fields__})


def _fitting(value: object) -> object:
    if not isinstance(value, str):
        return value
    return value.encode("utf-16", "surrogatepass").decode("utf-16", "replace")[:MOST_CHARACTERS]


def encode_line(seq: int, stamp: Stamp, kind: str, data: bytes, seed: int) -> tuple[bytes, int]:
    """The whole line with its line end, and its sum, which seeds the next line."""
    at = stamp.at.astimezone(UTC)
    body = b'{"seq":%d,"at":"%sZ","mono":%.3f,"boot":%s,"kind":%s,"data":%s' % (
        seq,
        # Not strftime: it writes the years before 1000, where a dead clock can stand, without their zeros.
        at.isoformat(timespec="milliseconds")[: -len("+00:00")].encode(),
        stamp.mono_seconds,
        _encode(stamp.boot),
        _encode(kind),
        data,
    )
    total = check_sum(body, seed)
    return b"%s%s\n" % (body, TAIL % total), total


def kind_of(event: Event) -> str:
    """The name of an event's kind in the file."""
    return KIND_OF[type(event)]


def stated_sum(line: bytes) -> int | None:
    """The sum that a line (without line end) states, or None if its end is not that of a line."""
    tail = _TAIL.fullmatch(line, max(0, len(line) - TAIL_BYTES))
    return int(tail[1], 16) if tail else None


def begins_as_written(line: bytes) -> bool:
    """Whether the beginning has exactly the form that a writer gives it; asked where no sum proves a line."""
    return _HEAD.match(line) is not None


def read_envelope(line: bytes) -> Envelope | None:
    """The line's frame, or None if it is not one."""
    try:
        envelope = decode_envelope(line)
        if not line.isascii():
            # What stays raw was not looked at so closely.
            line.decode()
    except UNREADABLE:
        return None
    # Whatever is written with an offset of zero is read as this very zone.
    return envelope if envelope.at.tzinfo is UTC else None


def read_event(envelope: Envelope) -> Event | None:
    """What a line tells; None if this version does not know its kind or cannot read it."""
    try:
        return event_readers[envelope.kind](envelope.data)
    except (KeyError, *UNREADABLE):
        return None
