"""The entry line: text in, one typed line out, whatever the text.

A line whose first word is a call sign is a contact, one whose first word is a verb acts, one of nothing but
frequency, mode and power tunes. Anything else is unclear, with the reason in words.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from fieldtui.entry.calls import stands_as_call
from fieldtui.entry.contact import read_contact, read_tuning
from fieldtui.entry.findings import Findings
from fieldtui.entry.lines import BlankLine, Context, TuningLine, UnclearLine, Verb
from fieldtui.entry.shapes import TUNING, Scan, Shape, after_word, first_word, is_whereabouts, scan
from fieldtui.entry.text import clean_text
from fieldtui.entry.unclear import why_unclear
from fieldtui.entry.usual.writing import usual_characters, usual_contact, usual_head, usual_tuning
from fieldtui.entry.verbs import read_verb

if TYPE_CHECKING:
    from fieldtui.entry.lines import Line

LONGEST_LINE = 1000
"""Characters in one line; what is longer was pasted by mistake (common practice, no source)."""

TUNE = "tune"
"""May stand before frequency, mode and power; they need no verb."""

_TUNE_TO_WHAT = "tune to what? Type a frequency, a mode or a power, such as 146.55 fm 10w"

# Composing may lengthen a few scripts, by three at most.
_LONGEST_CLEAN = 3 * LONGEST_LINE

_BEGINS_TUNING = TUNING | {Shape.COMMA_NUMBER}
_NO_CONTEXT = Context()
_VERBS = {str(verb): verb for verb in Verb}


def parse_line(text: str, context: Context = _NO_CONTEXT) -> Line:
    """Return what a typed line means. Never raises, and the result keeps `text` as typed.

    Verbs and calls may be typed in either case. At most 1,000 characters are read.
    """
    if len(text) > LONGEST_LINE:
        return UnclearLine(text=text, problems=(_too_long(len(text)),))
    line = usual_characters(clean_text(text, _LONGEST_CLEAN)).strip()
    if not line:
        return BlankLine(text=text)
    if ";" in first_word(line):
        line = line.replace(";", ", ")
    first = first_word(line)
    rest = after_word(line, first)
    verb = _VERBS.get(first.lower())
    if verb is not None:
        return read_verb(text, verb, rest, context)
    if first.lower() == TUNE:
        return _tuning_or_unclear(text, rest)
    head = usual_head(line, context.known_calls)
    if head is not None:
        first, rest = head.usual.strip(), line[head.length :].lstrip(" ,;")
    if _names_a_station(first, scan(rest), context.known_calls):
        return read_contact(
            text, usual_contact(first, rest, head.remark if head else "", context.now), context
        )
    return _tuning_or_unclear(text, line)


def _tuning_or_unclear(text: str, line: str) -> TuningLine | UnclearLine:
    if not line:
        return UnclearLine(text=text, problems=(_TUNE_TO_WHAT,))
    usual = usual_tuning(line)
    words = scan(usual.text)
    found = Findings()
    for remark in usual.remarks:
        found.remark(remark)
    hertz, mode, watts = read_tuning(words, found, tunes_only=True)
    if found.problems and words.words[0].shape in _BEGINS_TUNING:
        return UnclearLine(text=text, problems=tuple(found.problems))
    if not _only_tunes(words):
        return UnclearLine(text=text, problems=(why_unclear(line, words),))
    return TuningLine(text=text, hertz=hertz, mode=mode, watts=watts, notices=tuple(found.notices))


def _names_a_station(first: str, words: Scan, known_calls: frozenset[str]) -> bool:
    """Tell whether the first word is the call: a locator that could be one is none when a call follows it."""
    if first.upper() not in known_calls and is_whereabouts(first) and words.of(Shape.CALL):
        return False
    return stands_as_call(first, known_calls)


def _only_tunes(words: Scan) -> bool:
    return bool(words.words) and not words.free and all(word.shape in TUNING for word in words.words)


def _too_long(length: int) -> str:
    return f"{length:,} characters, and {LONGEST_LINE:,} fit: shorten it, or cut it into several notes"
