"""Cuts the free text of a contact at its commas: name, place, remarks, and the piece `card`."""

from __future__ import annotations

import re
from itertools import takewhile
from typing import NamedTuple

from fieldtui.entry.shapes import Shape, shape_of

CARD = "card"

# Shapes that a name or a place hardly has by chance; a mode (AM) or a call (with W0QSL) may well stand there.
_MISPLACED = frozenset({Shape.REPORT, Shape.FREQUENCY, Shape.POWER, Shape.LOCATOR, Shape.TIME})
_FIGURES = re.compile(r"[0-9]{4,7}")
_SPOKEN = frozenset((
    "zero", "one", "two", "three", "tree", "four", "fower", "five", "fife", "six", "seven", "eight", "nine", "niner",
))  # fmt: skip
_WAVELENGTH = re.compile(r"[0-9]{1,4}(?:\.[0-9]{1,2})?(?:mm|cm|m)", re.IGNORECASE)


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


def free_text_notices(free: FreeText) -> list[str]:
    """Return remarks on words of the free text that look as if they were meant otherwise."""
    notices = [
        f"put a comma before {CARD} to promise one"
        for piece in (free.name, free.place)
        if piece is not None and piece.casefold().endswith(f" {CARD}")
    ]
    misplaced = [word for word in (free.name or "").split() if shape_of(word) in _MISPLACED]
    if misplaced:
        listed = " ".join(misplaced)
        notices.append(f"{listed} was taken as part of the name: reports and the like go before it")
    words = (free.name or "").split()
    notices.extend(
        f"{word} was taken as part of the name: {advice}" for word in words if (advice := band_advice(word))
    )
    notices.extend(filter(None, map(figures_advice, words)))
    notices.extend(_spoken(words))
    return notices


def _spoken(words: list[str]) -> list[str]:
    """Remarks on what sounds like a report at the beginning of a name, and on a name without a letter."""
    figures = list(takewhile(lambda word: word.isdecimal() or word.casefold() in _SPOKEN, words))
    if figures and all(word.isdecimal() and len(word) > 3 for word in figures):
        return []  # told already as no frequency and no time
    if figures:
        return [f"{' '.join(figures)} was taken as part of the name: reports are written like 59 57"]
    if words and not any(character.isalpha() for character in "".join(words)):
        return [f"{' '.join(words)} was taken as the name: leave out what was not heard"]
    return []


def band_advice(word: str) -> str | None:
    """Return how to write a frequency, where a band was named by its wavelength."""
    return "a band is not a frequency, type MHz such as 146.52" if _WAVELENGTH.fullmatch(word) else None


def figures_advice(word: str) -> str | None:
    """Return how to write a bare number that was meant as a frequency or a time."""
    if _FIGURES.fullmatch(word) is None:
        return None
    advice = f"{word} is not a frequency: MHz take a decimal point, such as 146.52"
    return f"{advice}; a time ends with z, {word}z" if len(word) == 4 else advice
