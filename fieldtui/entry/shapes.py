"""Recognises words by their shape, and cuts a line into such words and the free text after them."""

from __future__ import annotations

import re
from enum import StrEnum
from functools import lru_cache
from typing import NamedTuple

from fieldtui.radio.callsign import looks_like_call
from fieldtui.radio.locator import is_locator
from fieldtui.radio.modes import read_mode
from fieldtui.radio.reports import read_report


class Shape(StrEnum):
    """What a word may be; the value is how it is named in a message."""

    TIME = "time"
    POWER = "power"
    FREQUENCY = "frequency"
    COMMA_NUMBER = "number with a comma"
    REPORT = "report"
    MODE = "mode"
    LOCATOR = "locator"
    CALL = "call"


TUNING = frozenset({Shape.FREQUENCY, Shape.MODE, Shape.POWER})
"""Shapes that say how the station is tuned, not whom it works."""

_TIME = re.compile(r"[0-9]{4}z|-[0-9]{1,4}m", re.IGNORECASE)
_POWER = re.compile(r"(?:[0-9]{1,6}(?:\.[0-9]{1,6})?|\.[0-9]{1,6})w", re.IGNORECASE)
_FREQUENCY = re.compile(r"[0-9]{1,7}\.[0-9]{1,9}(?:mhz)?", re.IGNORECASE)
_COMMA_NUMBER = re.compile(r"[0-9]{1,7},[0-9]{1,9}(?:w|v|mhz)?(?=[\s,]|$)", re.IGNORECASE)
_WORD = re.compile(r"[^\s,]+")
ROLED_REPORT = re.compile(r"([sr])([2-5][1-9][0-9n]?.{0,5})", re.IGNORECASE)
"""`s59` was sent, `r57` received."""

# A field alone (two letters) is a locator too, but on this line Jo and Al are people.
_LEAST_LOCATOR = 4


class Word(NamedTuple):
    """A word of known shape, as typed."""

    shape: Shape
    text: str


class Scan(NamedTuple):
    """The words of known shape at the head of a text, and the free text after them."""

    words: tuple[Word, ...]
    free: str

    def of(self, shape: Shape) -> tuple[str, ...]:
        """Return the words of one shape, in the order typed."""
        return tuple(word.text for word in self.words if word.shape is shape)


@lru_cache(maxsize=256)  # at each key all words before it are looked at again
def shape_of(word: str) -> Shape | None:
    """Return the shape of one word, or None when it has none and so begins the free text.

    A locator that could be a call is a locator: the call stands first and has been read before.
    """
    if not word.isascii():
        return None
    for pattern, shape in ((_TIME, Shape.TIME), (_POWER, Shape.POWER), (_FREQUENCY, Shape.FREQUENCY)):
        if pattern.fullmatch(word):
            return shape
    if read_report(word) is not None or roled_report(word):
        return Shape.REPORT
    if read_mode(word) is not None:
        return Shape.MODE
    if is_whereabouts(word):
        return Shape.LOCATOR
    return Shape.CALL if looks_like_call(word) else None


def roled_report(word: str) -> tuple[str, str] | None:
    """Return `s` or `r`, and the report, of a word that says whether a report was sent or received."""
    found = ROLED_REPORT.fullmatch(word)
    report = read_report(found[2]) if found else None
    return None if found is None or report is None else (found[1].lower(), report)


def is_whereabouts(word: str) -> bool:
    """Tell whether a word is a locator of at least four characters."""
    return len(word) >= _LEAST_LOCATOR and is_locator(word)


def scan(text: str) -> Scan:
    """Cut `text` at the first word of no known shape.

    One comma behind a word of known shape is passed over, so `59, 57, Rosa` reads like `59 57 Rosa`; a comma
    that stands alone begins the free text, and leaves its first piece empty.
    """
    words: list[Word] = []
    rest = text.lstrip()
    while (word := _next_word(rest)) is not None:
        words.append(word)
        rest = after_word(rest, word.text)
    return Scan(tuple(words), rest)


def first_word(text: str) -> str:
    """Return the first word of `text`, which begins with no blank; empty if there is none."""
    found = _COMMA_NUMBER.match(text) or _WORD.match(text)
    return found[0] if found else ""


def after_word(text: str, word: str) -> str:
    """Return what follows the word at the head of `text`, without one comma and the blanks between."""
    return text[len(word) :].removeprefix(",").lstrip()


def comma_advice(word: str) -> str:
    """Return what to type instead of a number with a decimal comma."""
    return f"write {word.replace(',', '.')} with a point, not {word}"


def comma_advice_in_contact(word: str) -> str:
    """Return the same where the comma may as well stand between two reports."""
    head, _, tail = word.partition(",")
    could_be_reports = len(head) == len(tail) and read_report(head) and read_report(tail)
    return comma_advice(word) + (f"; if these are two reports, {head} {tail}" if could_be_reports else "")


def is_comma_number(word: str) -> bool:
    """Tell whether a word is a number with a decimal comma."""
    return _COMMA_NUMBER.fullmatch(word) is not None


def _next_word(text: str) -> Word | None:
    word = first_word(text)
    if is_comma_number(word):
        return Word(Shape.COMMA_NUMBER, word)
    shape = shape_of(word) if word else None
    return None if shape is None else Word(shape, word)
