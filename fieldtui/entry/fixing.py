"""Reads `fix N FIELD VALUE`: one field of one contact, with a value of the type that the field has."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Literal

from fieldtui.entry.calls import call_notice, call_problem, call_shape_advice, is_written_as_call
from fieldtui.entry.findings import EntryError, Findings
from fieldtui.entry.nearest import nearest
from fieldtui.entry.payloads import Field, Fix, FixValue
from fieldtui.entry.text import quote
from fieldtui.entry.times import read_moment, time_notices, time_typed
from fieldtui.entry.values import band_notice, read_hertz, read_watts, read_whereabouts
from fieldtui.radio.modes import read_mode
from fieldtui.radio.reports import read_report, report_problem

if TYPE_CHECKING:
    from collections.abc import Callable

    from fieldtui.entry.lines import Context

EMPTY = "-"
"""Typed as the value, it empties a field."""

LAST: Literal["last"] = "last"

_NUMBER = re.compile(r"#?([0-9]{1,6})")
_YES_NO = {"yes": True, "no": False}
_NEVER_EMPTY = frozenset({Field.CALL, Field.CARD, Field.AT})
_USAGE = "such as: fix last name Rosa"


def read_fix(rest: str, context: Context, found: Findings) -> Fix | None:
    """Return what `fix` asks for, or None with the reasons noted."""
    number_word, field_word, value_text = (*rest.split(maxsplit=2), "", "", "")[:3]
    number = found.attempt(_number, number_word)
    field = found.attempt(_field, field_word)
    if number is None or field is None:
        return None
    if not value_text:
        found.stop(f"fix {number} {field} to what? Type the value, or {EMPTY} to empty the field")
        return None
    value = _value(field, value_text, context, found)
    if found.problems:
        return None
    return (
        Fix(number, field, value, time_typed(value_text)) if field is Field.AT else Fix(number, field, value)
    )


def _number(word: str) -> int | Literal["last"]:
    if word.lower() == LAST:
        return LAST
    number = _NUMBER.fullmatch(word)
    if number is None or int(number[1]) == 0:
        raise EntryError(f"fix which contact? Type its number in the list, or {LAST}, {_USAGE}")
    return int(number[1])


def _field(word: str) -> Field:
    if word.lower() in list(Field):
        return Field(word.lower())
    guess = nearest(word, list(Field))
    hint = f"Did you mean {guess}?" if guess else f"One of {', '.join(Field)}"
    raise EntryError(f"{quote(word)} is not a field. {hint}" if word else f"fix which field? {hint}")


def _value(field: Field, text: str, context: Context, found: Findings) -> FixValue:
    if text == EMPTY:
        if field in _NEVER_EMPTY:
            found.stop(f"{field} cannot be empty")
        return None
    match field:
        case Field.CALL:
            return _call(text, found)
        case Field.SENT | Field.RECEIVED:
            return _report(text, context.mode, found)
        case Field.MHZ:
            hertz = found.attempt(read_hertz, text)
            found.remark(None if hertz is None else band_notice(hertz))
            return hertz
        case Field.AT:
            at = found.attempt(lambda word: read_moment(word, context.now), text)
            for notice in time_notices(at, time_typed(text), context) if at is not None else ():
                found.remark(notice)
            return at
        case _:
            return found.attempt(_PLAIN.get(field, str), text)


def _call(text: str, found: Findings) -> str | None:
    call = text.upper()
    if not is_written_as_call(text):
        found.stop(call_shape_advice(text))
    elif problem := call_problem(call):
        found.stop(problem)
    else:
        found.remark(call_notice(call))
    return call


def _report(text: str, mode: str | None, found: Findings) -> str | None:
    report = read_report(text)
    problem = report_problem(text, mode)
    if report is None:
        found.stop(problem or f"{quote(text)} is not a report: write 59")
    elif problem is not None:
        found.remark(f"{report}: {problem}")
    return report


def _mode(word: str) -> str:
    mode = read_mode(word)
    if mode is None:
        raise EntryError(f"{quote(word)} is not a mode: such as FM, SSB or CW")
    return mode


def _yes_no(word: str) -> bool:
    if word.lower() not in _YES_NO:
        raise EntryError(f"{quote(word)} is neither yes nor no: type yes when a card was promised")
    return _YES_NO[word.lower()]


_PLAIN: dict[Field, Callable[[str], FixValue]] = {
    Field.LOCATOR: read_whereabouts,
    Field.MODE: _mode,
    Field.WATTS: read_watts,
    Field.CARD: _yes_no,
}
