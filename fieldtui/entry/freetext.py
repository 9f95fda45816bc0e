"""Cuts the free text of a contact at its commas: name, place, remarks, and the piece `card`."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import takewhile
from typing import NamedTuple

from fieldtui.entry.findings import Findings
from fieldtui.entry.shapes import first_word
from fieldtui.entry.text import quote
from fieldtui.entry.usual.spoken import DIGITS, TENS, any_of
from fieldtui.entry.usual.writing import shaped_at

CARD = "card"

_FIGURES = re.compile(r"[0-9]{4,7}")
_WAVELENGTH = re.compile(r"[0-9]{1,4}(?:\.[0-9]{1,2})?(?:mm|cm|m)", re.IGNORECASE)
_LIKE_LOCATOR = re.compile(r"@?[A-Za-z]{1,3}[0-9]{1,4}[A-Za-z]{0,3}[0-9]{0,2}")
_STUCK = re.compile(r"[0-9]{2,3}[^\W\d_]{2,}|[^\W\d_]{3,}[0-9]{2,3}")
_TO_NEXT_WORD = re.compile(r"[^\s,]*[\s,]*")
_OTHERWISE = re.compile(
    r"(?P<heard>\b(?:heard\s+only|only\s+heard|no\s+contact|no\s+qso|nur\s+gehört|kein\s+qso|solo\s+escuchad[oa]|escuchad[oa])\b)"
    r"|(?P<fix>^(?:is|was|ist|es)\s|\bnot\s+\w+$)",
    re.IGNORECASE,
)
_ORDERS = {
    "heard": "if it was only heard, begin with heard: heard CALL, and the words",
    "fix": "to correct a contact that is logged, write fix last name and the name",
}


class FreeText(NamedTuple):
    """The pieces of the free text; None where a piece is missing or empty."""

    name: str | None
    place: str | None
    remarks: str | None
    card: bool


def cut(text: str) -> FreeText:
    """Cut free text at its commas; `card` counts wherever it is a piece of its own.

    Commas behind the second belong to the remarks and stay as typed.
    """
    pieces = text.split(",")
    kept = [piece for piece in pieces if piece.strip().casefold() != CARD]
    name, place = (piece.strip() or None for piece in [*kept, "", ""][:2])
    remarks = ",".join(kept[2:]).strip(" ,") or None
    return FreeText(name, place, remarks, card=len(kept) < len(pieces))


def look_at_free_text(free: FreeText, found: Findings) -> None:
    """Say what in the free text looks as if it were meant otherwise: nothing goes there unsaid.

    Where a field is probably missing it is a doubt; in the remarks, where people tell of anything, and of what stands
    in names of places too, a mere remark.
    """
    if free.place and not free.name:
        found.remark(
            f"{quote(free.place)} was taken as the place, and no name: the name stands before a comma"
        )
    if free.remarks and free.name and not free.place:
        found.remark(
            f"{quote(free.remarks)} was taken as remarks: nothing stands between the commas before it"
        )
    for where, piece in (("name", free.name), ("place", free.place), ("remarks", free.remarks)):
        for words, sure in said_of(piece or "", where):
            found.doubt(words) if sure else found.remark(words)
    _look_at_name(free.name or "", found)


def said_of(piece: str, where: str) -> Iterator[tuple[str, bool]]:
    """What is to be said of each word of a piece that has a shape, and whether a field is probably missing."""
    at = 0
    while at < len(piece):
        shaped = shaped_at(piece[at:])
        if shaped is not None and not (where == "remarks" and shaped.hardly):
            sure = where == "name" or (where == "place" and not shaped.weak)
            yield (
                f"{quote(shaped.words)} was taken as part of the {where}: {shaped.advice}",
                sure and not shaped.hardly,
            )
            step = _TO_NEXT_WORD.match(piece, at + len(shaped.words))
            at = step.end() if step else len(piece)
            continue
        if spoken := _SPOKEN.match(piece, at):
            yield (
                f"{quote(spoken[0])} was taken as part of the {where}: write figures, such as 59 57 or 1842z",
                where != "remarks",
            )
            step = _TO_NEXT_WORD.match(piece, spoken.end())
            at = step.end() if step else len(piece)
            continue
        word = first_word(piece[at:])
        if advice := _word_advice(word):
            yield f"{quote(word)} was taken as part of the {where}: {advice}", where != "remarks"
        step = _TO_NEXT_WORD.match(piece, at + len(word))
        at = step.end() if step else len(piece)


_SPOKEN = re.compile(
    rf"(?:{any_of(DIGITS)}|{any_of(TENS)})(?:(?:\s+|-)(?:and\s+|y\s+|und\s+)?(?:{any_of(DIGITS)}|{any_of(TENS)}|(?:eleven|twelve|fifteen|ten)))+"
    r"(?=[\s,]|$)|(?:half|quarter)\s+(?:past|to|after)\s+\w+|halb\s+\w+|(?:viertel|drei\s+viertel)\s+(?:vor|nach)?\s*\w+"
    r"|\w+\s+o'?clock|y\s+media",
    re.IGNORECASE,
)
"""Figures and times of day in words: more than one figure in a row is no name."""


def _word_advice(word: str) -> str | None:
    """What to do with a word that has no shape, and is no word either."""
    if not word:
        return None
    if advice := band_advice(word) or figures_advice(word):
        return advice
    bare = word.strip(".:!()@")
    if not (any(map(str.isdigit, bare)) and any(map(str.isalpha, bare))):
        return None
    if _LIKE_LOCATOR.fullmatch(bare):
        return "a locator is written like CN94 or CN94hb"
    return "put a blank between figures and words" if _STUCK.fullmatch(bare) else None


def _look_at_name(name: str, found: Findings) -> None:
    words = name.split()
    figures = list(
        takewhile(lambda word: word.casefold() in DIGITS or (word.isdecimal() and len(word) < 4), words)
    )
    if figures:
        found.doubt(f"{' '.join(figures)} was taken as part of the name: reports are written like 59 57")
    elif words and not any(character.isalpha() for character in name):
        found.doubt(f"{quote(name)} was taken as the name: leave out what was not heard")
    if otherwise := _OTHERWISE.search(name):
        found.doubt(_ORDERS[otherwise.lastgroup or ""])


def band_advice(word: str) -> str | None:
    """Return how to write a frequency, where a band was named by its wavelength."""
    return "a band is not a frequency, type MHz such as 145.25" if _WAVELENGTH.fullmatch(word) else None


def figures_advice(word: str) -> str | None:
    """Return how to write a bare number that was meant as a frequency or a time."""
    if _FIGURES.fullmatch(word) is None:
        return None
    advice = f"{word} is not a frequency: MHz take a decimal point, such as 145.25"
    return f"{advice}; a time ends with z, {word}z" if len(word) == 4 else advice
