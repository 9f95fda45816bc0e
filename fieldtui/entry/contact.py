"""Reads a line that begins with a call sign."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeVar

from fieldtui.entry.calls import call_notice, call_problem
from fieldtui.entry.findings import Findings
from fieldtui.entry.freetext import cut, look_at_free_text
from fieldtui.entry.lines import ContactLine, Context
from fieldtui.entry.shapes import (
    Scan,
    Shape,
    after_word,
    comma_advice_in_contact,
    first_word,
    roled_report,
    scan,
)
from fieldtui.entry.text import quote
from fieldtui.entry.times import read_time, time_notices, time_typed
from fieldtui.entry.values import band_notice, locator_notice, read_hertz, read_watts, read_whereabouts
from fieldtui.radio.modes import read_mode
from fieldtui.radio.reports import read_report, report_problem

if TYPE_CHECKING:
    from collections.abc import Callable

    from fieldtui.entry.usual.writing import Usual

T = TypeVar("T")


def read_contact(text: str, usual: Usual, context: Context) -> ContactLine:
    """Read a contact from a line in its usual writing, which begins with the call; `text` is the line as typed.

    One value of a kind fits: another one (a second call, a third report) is a problem that names it, never a
    silent choice. The same value twice, as on the air, counts once.
    """
    found = Findings()
    for question in usual.questions:
        found.stop(question)
    for doubt in usual.doubts:
        found.doubt(doubt)
    for remark in usual.remarks:
        found.remark(remark)
    first = first_word(usual.text)
    words = scan(after_word(usual.text, first))
    call = _call(first, words, found)
    hertz, mode, watts = read_tuning(words, found)
    sent, received = _reports(words, mode or context.mode, found)
    locator = only(words, Shape.LOCATOR, read_whereabouts, found)
    found.remark(locator_notice(locator))
    at = only(words, Shape.TIME, lambda word: read_time(word, context.now), found)
    typed = None
    if at is not None:
        typed = time_typed(words.of(Shape.TIME)[0])
        for notice in time_notices(at, typed, context):
            found.remark(notice)
    free = cut(words.free)
    look_at_free_text(free, found)
    return ContactLine(
        text=text,
        call=call,
        sent=sent,
        received=received,
        locator=locator,
        name=free.name,
        place=free.place,
        remarks=free.remarks,
        hertz=hertz,
        mode=mode,
        watts=watts,
        at=at,
        card=free.card,
        time_typed=typed,
        problems=tuple(found.problems),
        doubts=tuple(found.doubts),
        notices=tuple(found.notices),
        likely=usual.likely,
    )


def read_tuning(
    words: Scan, found: Findings, *, tunes_only: bool = False
) -> tuple[int | None, str | None, float | None]:
    """Return the frequency in hertz, the mode and the power in watts among the words of a line."""
    for word in words.of(Shape.COMMA_NUMBER):
        found.stop(comma_advice_in_contact(word))
    hertz = only(words, Shape.FREQUENCY, read_hertz, found)
    if hertz is not None and (notice := band_notice(hertz)):
        # In the line of a contact it tunes for all that follow: not by a slip.
        found.remark(notice) if tunes_only else found.doubt(notice)
    return hertz, only(words, Shape.MODE, read_mode, found), only(words, Shape.POWER, read_watts, found)


def only(words: Scan, shape: Shape, read: Callable[[str], T | None], found: Findings) -> T | None:
    """Return the one value of a shape; two that differ are a problem, and then the first is shown."""
    values = [value for word in words.of(shape) if (value := found.attempt(read, word)) is not None]
    if len(set(values)) > 1:
        found.stop(f"{len(values)} {_plural(shape)}: {_listed(words.of(shape))}. Keep one")
    return values[0] if values else None


def _call(first: str, words: Scan, found: Findings) -> str:
    call = first.upper()
    if problem := call_problem(call):
        found.stop(problem)
    found.remark(call_notice(call))
    others = [word.upper() for word in words.of(Shape.CALL) if word.upper() != call]
    if others:
        listed = _listed((call, *others))
        found.stop(f"{len(others) + 1} calls: {listed}. One a line; mention others in the remarks")
    return call


def _reports(words: Scan, mode: str | None, found: Findings) -> tuple[str | None, str | None]:
    reports = words.of(Shape.REPORT)
    if len(reports) > 2:
        found.stop(f"{len(reports)} reports: {_listed(reports)}. Two fit, sent then received")
    given: dict[str, str] = {}
    for word in reports[:2]:
        role, report = roled_report(word) or ("r" if "s" in given else "s", read_report(word) or word)
        given[role if role not in given else "r" if role == "s" else "s"] = report
        problem = report_problem(report, mode)
        found.remark(None if problem is None else f"{quote(word)}: {problem}")
    return given.get("s"), given.get("r")


def _listed(words: tuple[str, ...]) -> str:
    """Return the words for a message, the first few when there are many."""
    shown = [quote(word) for word in words[:6]]
    return ", ".join(shown) + (" ..." if len(words) > 6 else "")


def _plural(shape: Shape) -> str:
    return "frequencies" if shape is Shape.FREQUENCY else f"{shape}s"
