"""Reads a line back in short plain phrases, so that a glance shows what was understood."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fieldtui.entry.field_words import value_words, which_words
from fieldtui.entry.lines import BlankLine, ContactLine, TuningLine, UnclearLine, VerbLine
from fieldtui.entry.payloads import (
    Channel,
    Done,
    Field,
    Fix,
    Heard,
    Here,
    Identify,
    Note,
    Over,
    Redo,
    Undo,
    Volts,
)
from fieldtui.radio.frequency import format_megahertz
from fieldtui.radio.phonetics import spell

if TYPE_CHECKING:
    from fieldtui.entry.lines import Line
    from fieldtui.entry.payloads import FixValue, Payload, Which

Phrases = tuple[str | None, ...]

_BY = {"phone": "by voice", "cw": "in CW", "data": "by data"}


def describe(line: Line) -> tuple[str, ...]:
    """Return what was understood, phrase by phrase; nothing for a blank line.

    A contact begins with its call and the call as it is spoken. Problems are not repeated here, and distance
    is left to those who know where the station is. All text is clean.
    """
    match line:
        case ContactLine():
            phrases = _contact(line)
        case VerbLine():
            phrases = (str(line.verb),) if line.payload is None else _order(line.payload)
        case TuningLine():
            phrases = ("from here on", *_tuning(line))
        case UnclearLine():
            phrases = ("not understood",)
        case BlankLine():
            phrases = ()
    return tuple(phrase for phrase in phrases if phrase)


def _contact(line: ContactLine) -> Phrases:
    return (
        line.call,
        spell(line.call),
        line.sent and f"sent {line.sent}",
        line.received and f"received {line.received}",
        line.locator and f"at {line.locator}",
        line.name and f"name {line.name}",
        line.place and f"place {line.place}",
        line.remarks and f"remarks {line.remarks}",
        *_tuning(line),
        None if line.at is None else f"made {line.at:%Y-%m-%d %H:%M} UTC",
        "card promised" if line.card else None,
    )


def _tuning(line: ContactLine | TuningLine) -> Phrases:
    return (
        None if line.hertz is None else f"{format_megahertz(line.hertz)} MHz",
        line.mode,
        None if line.watts is None else f"{line.watts:.10g} W",
    )


def _order(payload: Payload) -> Phrases:
    match payload:
        case Note():
            return ("note", payload.text)
        case Heard():
            return ("heard", payload.call, spell(payload.call), payload.text)
        case Fix():
            return (f"fix {_which(payload.number)}", *(_change(*each) for each in payload.values.items()))
        case Undo():
            return ("take back the newest thing that was done",)
        case Redo():
            return ("bring back what was taken back last",)
        case Identify():
            return ("call sign given", _BY[payload.method], payload.said)
        case Over():
            return ("start or stop a transmission",)
        case Channel():
            return ("channel", payload.name)
        case Here():
            return ("here is", payload.locator, payload.place)
        case Volts():
            return (f"{payload.volts:.10g} V by meter",)
        case Done():
            return ("close the session",)


def _which(number: Which) -> str:
    match number:
        case "last":
            return "the last contact"
        case "all":
            return "all contacts"
        case int():
            return f"contact {number}"
        case str():
            return f"the contact with {number}"
        case _:
            return f"contacts {which_words(number)}"


def _change(field: Field, value: FixValue) -> str:
    if value is None:
        return f"{field.words} emptied"
    if field is Field.CARD:
        return "card promised" if value else "no card promised"
    return f"{field.words} to {value_words(field, value)}"
