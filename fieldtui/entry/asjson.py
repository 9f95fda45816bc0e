"""Turns a line into the plain object that `fieldtui parse --json` prints."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING, Any

from fieldtui.entry.field_words import which_words
from fieldtui.entry.grammar import TUNE
from fieldtui.entry.lines import BlankLine, ContactLine, TuningLine, VerbLine
from fieldtui.entry.payloads import Channel, Fix, Heard, Here, Identify, Note, Volts
from fieldtui.journal.rfc3339 import rfc3339

if TYPE_CHECKING:
    from fieldtui.entry.lines import Line
    from fieldtui.entry.payloads import Payload, Which

_CONTACT_KEYS = (
    "call", "sent", "received", "locator", "name", "place", "remarks", "hertz", "mode", "watts", "at", "card",
)  # fmt: skip

_NOTHING_TYPED = "nothing typed: begin with a call or a verb"


def to_json(line: Line) -> dict[str, Any]:
    """Return a line as plain values: text, numbers, booleans, None, and times as RFC 3339 text in UTC.

    Every line has `kind`, the fields of a contact (None when not given) and `problems`, which holds what
    stops the line and mere remarks alike. A line that acts has `verb` too, and what that verb asks for.
    """
    fields = dict.fromkeys(_CONTACT_KEYS)
    match line:
        case ContactLine():
            return _object("contact", {key: _plain(getattr(line, key)) for key in _CONTACT_KEYS}, line)
        case VerbLine():
            return _object("verb", fields, line) | {"verb": str(line.verb)} | _asked(line.payload)
        case TuningLine():
            tuned = {"hertz": line.hertz, "mode": line.mode, "watts": line.watts}
            return _object("verb", fields | tuned, line) | {"verb": TUNE}
        case BlankLine():
            return _object("unclear", fields, line) | {"problems": [_NOTHING_TYPED]}
        case _:
            return _object("unclear", fields, line)


def _object(kind: str, fields: dict[str, Any], line: Line) -> dict[str, Any]:
    return {"kind": kind, **fields, "problems": list(line.all_problems)}


def _asked(payload: Payload | None) -> dict[str, Any]:
    """Return what a verb asks for; a call, a locator and a place go under the keys of a contact."""
    match payload:
        case Note(text):
            return {"text": text}
        case Heard(call, text):
            return {"call": call, "text": text}
        case Fix(number, field, value, _, also):
            second = {"also": {"field": also[0].key, "value": _plain(also[1])}} if also else {}
            return {"number": _which(number), "field": field.key, "value": _plain(value), **second}
        case Identify(method, said):
            return {"method": method, "said": said}
        case Channel(name):
            return {"channel": name}
        case Here(locator, place):
            return {"locator": locator, "place": place}
        case Volts(volts):
            return {"volts": volts}
        case _:
            return {}


def _which(number: Which) -> int | str:
    return which_words(number) if isinstance(number, tuple) else number


def _plain(value: object) -> object:
    if isinstance(value, datetime):
        return rfc3339(value)
    return value
