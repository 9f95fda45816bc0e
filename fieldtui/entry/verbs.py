"""Reads a line that begins with a verb."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, cast

from fieldtui.entry.calls import call_shape_advice, may_be_heard
from fieldtui.entry.findings import Findings
from fieldtui.entry.fixing import read_fix
from fieldtui.entry.lines import Context, Verb, VerbLine
from fieldtui.entry.payloads import (
    Channel,
    Done,
    Heard,
    Here,
    Identify,
    Note,
    Over,
    Payload,
    Redo,
    Undo,
    Volts,
)
from fieldtui.entry.shapes import after_word, first_word, is_whereabouts
from fieldtui.entry.text import quote
from fieldtui.entry.usual.stations import unheard_marked
from fieldtui.entry.values import read_volts, read_whereabouts

if TYPE_CHECKING:
    from collections.abc import Callable

METHODS = ("phone", "cw", "data")


def read_verb(text: str, verb: Verb, rest: str, context: Context) -> VerbLine:
    """Read what `verb` asks for from `rest`, the clean text behind it; `text` is the line as typed."""
    found = Findings()
    payload = _READERS[verb](rest, context, found)
    return VerbLine(
        text=text,
        verb=verb,
        payload=None if found.problems else payload,
        problems=tuple(found.problems),
        notices=tuple(found.notices),
    )


def _note(rest: str, _: Context, found: Findings) -> Note:
    if not rest:
        found.stop("note what? Type the text after it")
    return Note(rest)


def _heard(rest: str, _: Context, found: Findings) -> Heard:
    typed = first_word(rest)
    call = unheard_marked(typed)
    if not call:
        found.stop("heard whom? Type the call, with ? for each character not heard")
    elif not may_be_heard(call):
        found.stop(f"{call_shape_advice(call)}. For plain words use note")
    return Heard(call.upper(), after_word(rest, typed) or None)


def _identify(rest: str, _: Context, found: Findings) -> Identify:
    """Take a method and a call in either order; both may be left out."""
    words = rest.split()
    methods = [word.lower() for word in words if word.lower() in METHODS]
    calls = [word for word in words if word.lower() not in METHODS]
    if len(methods) > 1 or len(calls) > 1 or not all(_may_be_said(call) for call in calls):
        found.stop(f"id takes {', '.join(METHODS)} and the call as given, such as: id cw KD7QSV/P")
    method = cast("Literal['phone', 'cw', 'data']", methods[0] if methods else METHODS[0])
    return Identify(method, calls[0].upper() if calls else None)


def _may_be_said(call: str) -> bool:
    return "?" not in call and may_be_heard(call)


def _channel(rest: str, _: Context, found: Findings) -> Channel:
    if not rest:
        found.stop("channel which? Type its name or its number")
    return Channel(rest)


def _here(rest: str, _: Context, found: Findings) -> Here:
    if not rest:
        found.stop("here where? Type a locator such as CN94hb, or the name of the place")
    word = first_word(rest)
    if not is_whereabouts(word):
        return Here(None, rest or None)
    return Here(found.attempt(read_whereabouts, word), after_word(rest, word) or None)


def _volts(rest: str, _: Context, found: Findings) -> Volts | None:
    if not rest:
        found.stop("volts how many? Type the reading, such as 12.85")
        return None
    volts = found.attempt(read_volts, rest)
    return None if volts is None else Volts(volts)


def _alone(verb: Verb, payload: Payload) -> Callable[[str, Context, Findings], Payload]:
    """Return a reader for a verb that stands alone; words behind it are kept from being lost in silence."""

    def read(rest: str, _: Context, found: Findings) -> Payload:
        if rest:
            found.stop(f"{verb} stands alone: take out {quote(rest)}, or write it down with note")
        return payload

    return read


def _back(verb: Verb, payload: Payload) -> Callable[[str, Context, Findings], Payload]:
    """Return a reader for undo and redo, which take the newest: `undo last` and `undo that` say the same."""
    read = _alone(verb, payload)

    def read_back(rest: str, context: Context, found: Findings) -> Payload:
        return read("" if rest.lower() in _THE_NEWEST else rest, context, found)

    return read_back


_THE_NEWEST = frozenset({"last", "that", "it", "this", "the last", "the last one", "last one"})


_READERS: dict[Verb, Callable[[str, Context, Findings], Payload | None]] = {
    Verb.NOTE: _note,
    Verb.HEARD: _heard,
    Verb.FIX: read_fix,
    Verb.UNDO: _back(Verb.UNDO, Undo()),
    Verb.REDO: _back(Verb.REDO, Redo()),
    Verb.ID: _identify,
    Verb.OVER: _alone(Verb.OVER, Over()),
    Verb.CHANNEL: _channel,
    Verb.HERE: _here,
    Verb.VOLTS: _volts,
    Verb.DONE: _alone(Verb.DONE, Done()),
}
