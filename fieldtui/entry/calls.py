"""Decides what may stand as a call sign. No call is refused for its shape; an odd one gets a remark."""

from __future__ import annotations

import re

from fieldtui.entry.lines import Verb
from fieldtui.entry.shapes import is_whereabouts, shape_of
from fieldtui.entry.text import quote
from fieldtui.radio.callsign import LONGEST_CALL, looks_like_call, read_call
from fieldtui.radio.modes import read_mode

_LETTERS_OF_A_CALL = re.compile(r"[A-Za-z0-9/?]{2,%d}" % LONGEST_CALL)  # noqa: UP031 - braces belong to the pattern
_LEAST_ODD_CALL = 3
_BAND_OR_AMOUNT = re.compile(r"[0-9]+(?:m|cm|mm|v|a|ah|khz|mhz|ghz|db|km|mi|ft)", re.IGNORECASE)
_VERB_AND_NUMBER = re.compile(rf"({'|'.join(Verb)})[0-9]+", re.IGNORECASE)


def stands_as_call(word: str, known_calls: frozenset[str]) -> bool:
    """Tell whether the first word of a line names the station worked.

    A six-character locator that could be a call (as of a special event) is one here, since the call stands
    first; any other locator is not. A word that is not a call by its shape, but mixes letters and figures as
    only calls do, is one that was heard or typed badly.
    """
    if _LETTERS_OF_A_CALL.fullmatch(word) is None:
        return False
    if word.upper() in known_calls:
        return True
    if is_whereabouts(word) and len(word) != 6:
        return False
    if read_mode(word) is not None:
        return read_call(word).shape == "usual"
    return looks_like_call(word) or _is_odd_call(word)


def is_written_as_call(word: str) -> bool:
    """Tell whether a word has nothing but what calls are written with, and a letter among it."""
    return _LETTERS_OF_A_CALL.fullmatch(word) is not None and any(map(str.isalpha, word))


def may_be_heard(word: str) -> bool:
    """Tell whether a word can follow `heard`: letters and figures of a call, some of which may be missing."""
    if _LETTERS_OF_A_CALL.fullmatch(word) is None or not any(map(str.isalnum, word)):
        return False
    return "?" in word or (any(map(str.isdigit, word)) and any(map(str.isalpha, word)))


def call_problem(call: str) -> str | None:
    """Return why a call cannot be logged: a character of it was not heard."""
    if "?" not in call:
        return None
    return f"{call} is half heard: fill in the letters, or keep it with: heard {call}"


def call_notice(call: str) -> str | None:
    """Return a remark on a call that looks odd, which is logged as typed all the same."""
    if is_whereabouts(call):
        return f"{call} could be a locator: taken as the call, since it stands first"
    shape = read_call(call).shape
    if shape == "usual":
        return None
    if shape == "unusual":
        return f"{call} is an unusual call: check it"
    return f"{call} has not the shape of a call: check it"


def glued_verb(word: str) -> str | None:
    """Return the verb of a word such as `fix3`, where a blank was forgotten."""
    found = _VERB_AND_NUMBER.fullmatch(word)
    return found[1].lower() if found else None


def call_shape_advice(word: str) -> str:
    """Return what is wrong with a word that was meant as a call."""
    return f"{quote(word)} is not a call: letters, figures, / and ? for what was not heard"


def _is_odd_call(word: str) -> bool:
    bare = word.replace("/", "").replace("?", "")
    return (
        len(bare) >= _LEAST_ODD_CALL
        and any(map(str.isdigit, bare))
        and any(map(str.isalpha, bare))
        and shape_of(word) is None
        and _BAND_OR_AMOUNT.fullmatch(word) is None
        and glued_verb(word) is None
    )
