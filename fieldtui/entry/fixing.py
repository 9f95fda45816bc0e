"""Reads `fix N FIELD VALUE`: a field of one contact or of several, with a value of the type that the field has."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Literal

from fieldtui.entry.calls import call_notice, call_problem, call_shape_advice, is_written_as_call
from fieldtui.entry.findings import EntryError, Findings
from fieldtui.entry.nearest import nearest
from fieldtui.entry.payloads import Field, Fix, FixValue
from fieldtui.entry.shapes import after_word, first_word
from fieldtui.entry.text import quote
from fieldtui.entry.times import read_moment, time_notices, time_typed
from fieldtui.entry.values import band_notice, read_hertz, read_watts, read_whereabouts
from fieldtui.radio.bands import band_of
from fieldtui.radio.frequency import format_megahertz
from fieldtui.radio.modes import read_mode
from fieldtui.radio.reports import read_report, report_problem

if TYPE_CHECKING:
    from collections.abc import Callable

    from fieldtui.entry.lines import Context
    from fieldtui.entry.payloads import Which

EMPTY = "-"
"""Typed as the value, it empties a field."""

LAST: Literal["last"] = "last"
ALL: Literal["all"] = "all"

_RANGE = r"#?[0-9]{1,6}(?:\s*(?:-|to)\s*#?[0-9]{1,6})?"
_NUMBERS = re.compile(rf"{_RANGE}(?:(?:\s*,\s*|\s*(?:and|&)\s*|\s+){_RANGE})*(?=\s|$)", re.IGNORECASE)
_ONE_RANGE = re.compile(_RANGE, re.IGNORECASE)
_KHZ = re.compile(r"([0-9]{3,8}(?:\.[0-9]{0,3})?)\s*khz", re.IGNORECASE)
_YES_NO = {
    "yes": True, "y": True, "promised": True, "wanted": True, "please": True,
    "no": False, "n": False, "none": False, "not": False,
}  # fmt: skip
_NEVER_EMPTY = frozenset({Field.CALL, Field.CARD, Field.AT})
_USAGE = "such as: fix last name Rosa"
_ONE_ONLY = frozenset({Field.CALL})
_RST = frozenset({"rst", "rs", "report", "reports"})
_EVERYDAY = {
    "callsign": Field.CALL, "station": Field.CALL,
    "snt": Field.SENT, "tx": Field.SENT, "gave": Field.SENT, "his": Field.SENT,
    "rcvd": Field.RECEIVED, "recd": Field.RECEIVED, "rcv": Field.RECEIVED, "rx": Field.RECEIVED,
    "got": Field.RECEIVED, "my": Field.RECEIVED,
    "op": Field.NAME, "operator": Field.NAME, "nombre": Field.NAME,
    "qth": Field.PLACE, "city": Field.PLACE, "town": Field.PLACE, "location": Field.PLACE, "lugar": Field.PLACE,
    "ort": Field.PLACE,
    "grid": Field.LOCATOR, "loc": Field.LOCATOR, "square": Field.LOCATOR, "gridsquare": Field.LOCATOR,
    "freq": Field.MHZ, "frequency": Field.MHZ, "qrg": Field.MHZ, "khz": Field.MHZ,
    "power": Field.WATTS, "pwr": Field.WATTS, "watt": Field.WATTS, "w": Field.WATTS,
    "remark": Field.REMARKS, "comment": Field.REMARKS, "comments": Field.REMARKS, "note": Field.REMARKS,
    "notes": Field.REMARKS, "text": Field.REMARKS,
    "qsl": Field.CARD, "cards": Field.CARD,
    "time": Field.AT, "utc": Field.AT, "date": Field.AT, "when": Field.AT,
}  # fmt: skip
"""What people call the fields (common practice, no source)."""


def read_fix(rest: str, context: Context, found: Findings) -> Fix | None:
    """Return what `fix` asks for, or None with the reasons noted."""
    which_text = _which_text(rest)
    which = found.attempt(_which, which_text)
    rest = rest[len(which_text) :].lstrip(" ,:")
    word = first_word(rest)
    text = after_word(rest, word).removeprefix("=").strip()
    if which is None:
        return None
    if word.lower() in _RST:
        return _both_reports(which, text, context, found)
    field = found.attempt(_field, word)
    if field is None:
        return None
    if word.lower() == "khz" and text:
        text = f"{text.split()[0]}khz"
    return _one_field(which, field, text or _meant_by_nothing(field), context, found)


def _one_field(which: Which, field: Field, text: str, context: Context, found: Findings) -> Fix | None:
    if not text:
        found.stop(f"{field.words} to what? Type the value, or {EMPTY} to empty it")
        return None
    if field in _ONE_ONLY and (which == ALL or isinstance(which, tuple)):
        found.stop(f"one {field.words} for several contacts? Fix one after the other")
    value = _value(field, text, context, found)
    if found.problems:
        return None
    return Fix(which, field, value, time_typed(text)) if field is Field.AT else Fix(which, field, value)


def _meant_by_nothing(field: Field) -> str:
    return "yes" if field is Field.CARD else ""


def _both_reports(which: Which, text: str, context: Context, found: Findings) -> Fix | None:
    words = re.split(r"[\s/,]+", text)
    if len(words) != 2:
        one = quote(words[0]) if words[0] else "57"
        found.stop(f"sent or received? fix N sent {one}, or both, sent first: fix N rst 59 57")
        return None
    sent, received = (_value(Field.SENT, word, context, found) for word in words)
    return None if found.problems else Fix(which, Field.SENT, sent, also=(Field.RECEIVED, received))


def _which_text(rest: str) -> str:
    numbers = _NUMBERS.match(rest)
    return numbers[0] if numbers else first_word(rest)


def _which(text: str) -> Which:
    word = text.lower()
    if word in (LAST, ALL):
        return word
    if _NUMBERS.fullmatch(text):
        spans = tuple(_span(each) for each in _ONE_RANGE.findall(text))
        return spans[0][0] if len(spans) == 1 and spans[0][0] == spans[0][1] else spans
    if is_written_as_call(text) and call_problem(text.upper()) is None:
        return text.upper()
    raise EntryError(f"fix which contact? Type its number in the list, or {LAST}, {_USAGE}")


def _span(text: str) -> tuple[int, int]:
    numbers = [int(each) for each in re.findall(r"[0-9]+", text)]
    first, last = numbers[0], numbers[-1]
    if not first or not last:
        raise EntryError(f"fix which contact? The list begins with 1, {_USAGE}")
    return min(first, last), max(first, last)


def _field(word: str) -> Field:
    bare = word.lower().strip(":=")
    if bare in list(Field):
        return Field(bare)
    if bare in _EVERYDAY:
        return _EVERYDAY[bare]
    guess = nearest(word, [*Field, *_EVERYDAY, *_RST])
    hint = (
        f"Did you mean {guess}?"
        if guess
        else "One of call, sent, received, name, place, freq, mode, card, time ..."
    )
    raise EntryError(f"{quote(word)} is not a field. {hint}" if word else f"fix which field? {hint}")


def _value(field: Field, text: str, context: Context, found: Findings) -> FixValue:
    if text == EMPTY:
        if field in _NEVER_EMPTY:
            found.stop(f"{field.words} cannot be empty")
        return None
    match field:
        case Field.CALL:
            return _call(text, found)
        case Field.SENT | Field.RECEIVED:
            return _report(text, context.mode, found)
        case Field.MHZ:
            hertz = found.attempt(_hertz, text)
            found.remark(None if hertz is None else band_notice(hertz))
            return hertz
        case Field.AT:
            at = found.attempt(lambda word: read_moment(word, context.now), text)
            for notice in time_notices(at, time_typed(text), context) if at is not None else ():
                found.remark(notice)
            return at
        case _:
            return found.attempt(_PLAIN.get(field, str), text)


def _hertz(text: str) -> int:
    """Take MHz, or kHz that say so; what was more likely meant as kHz or Hz is asked for and not taken."""
    if khz := _KHZ.fullmatch(text):
        return round(float(khz[1]) * 1000)
    word = "".join(text.split())
    hertz = read_hertz(word)
    for unit, divisor in (("kHz", 1000), ("Hz", 1_000_000)) if word.isdecimal() else ():
        if band_of(hertz // divisor) is not None:
            megahertz = format_megahertz(hertz // divisor)
            raise EntryError(f"{word} {unit} = {megahertz} MHz? Type {megahertz}; if not, {word}mhz")
    return hertz


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
