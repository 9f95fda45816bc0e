"""Says why a line was not understood, and what to type instead."""

from __future__ import annotations

from fieldtui.entry.calls import call_shape_advice, glued_verb, may_be_heard
from fieldtui.entry.freetext import band_advice, figures_advice
from fieldtui.entry.lines import Verb
from fieldtui.entry.nearest import nearest
from fieldtui.entry.shapes import TUNING, Scan, Shape, first_word
from fieldtui.entry.text import REPLACEMENT, quote
from fieldtui.radio.reports import read_report

_TAKING_BACK = frozenset(
    [
        "delete",
        "del",
        "remove",
        "cancel",
        "scratch",
        "strike",
        "erase",
        "oops",
        "nvm",
        "wrong",
        "mistake",
        "correction",
        "correct",
        "change",
        "edit",
        "amend",
        "borrar",
        "borra",
        "anular",
        "cancelar",
        "corregir",
        "löschen",
        "loeschen",
        "zurück",
        "zurueck",
        "storno",
        "korrektur",
    ]
)
"""What people type who want something taken back or put right."""
TAKE_BACK_ADVICE = "undo takes the newest back; fix last name Rose corrects"


def take_back_advice(word: str) -> str | None:
    """Return what to type instead of a word that asks for something to be taken back, or None."""
    return f"{quote(word)}: {TAKE_BACK_ADVICE}" if word.lower().strip(":.!") in _TAKING_BACK else None


def why_unclear(line: str, words: Scan) -> str:
    """Return the reason for a clean line that begins with neither a call nor a verb."""
    if advice := take_back_advice(first_word(line)):
        return advice
    if words.words:
        return _starts_with(words)
    word = first_word(line)
    if not word:
        return "starts with a comma: put the call first"
    if REPLACEMENT in word:
        return f"{quote(word)} has a character that no key makes: type the word again"
    if glued := glued_verb(word):
        return f"{quote(word)} is not a call: put a blank after {glued}"
    if advice := band_advice(word):
        heard = f"; if that was all you heard, type heard {quote(word)}" if may_be_heard(word) else ""
        return f"{quote(word)}: {advice}{heard}"
    return figures_advice(word) or _unknown(word, line)


def _starts_with(words: Scan) -> str:
    shape = words.words[0].shape
    article = "" if shape is Shape.POWER else "a "
    reason = f"starts with {article}{shape}, not a call: "
    calls = words.of(Shape.CALL)
    if calls:
        return f"{reason}put {quote(calls[0].upper())} first"
    reason += "put the call first"
    return f"{reason}, or type nothing but frequency, mode and power" if shape in TUNING else reason


def _unknown(word: str, line: str) -> str:
    guess = nearest(word, Verb)
    if guess:
        return f"{quote(word)} is not a verb: did you mean {guess}?"
    if may_be_heard(word):
        return f"{quote(word)} is not a whole call: if that was all you heard, type heard {quote(word)}"
    if word.isalpha() and any(map(read_report, line.split())):
        return f"{quote(word)} has no figure, so it is not a call: put ? where one was not heard"
    if any(map(str.isdigit, word)):
        return call_shape_advice(word)
    return f"{quote(word)} is neither a call nor a verb: begin with the call, or with note to write it down"
