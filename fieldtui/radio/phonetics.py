"""Spells calls the way they are spoken."""

from __future__ import annotations

from typing import Literal

# Radio Regulations, Appendix 14.
_LETTERS = [
    "Alfa",
    "Bravo",
    "Charlie",
    "Delta",
    "Echo",
    "Foxtrot",
    "Golf",
    "Hotel",
    "India",
    "Juliett",
    "Kilo",
    "Lima",
    "Mike",
    "November",
    "Oscar",
    "Papa",
    "Quebec",
    "Romeo",
    "Sierra",
    "Tango",
    "Uniform",
    "Victor",
    "Whiskey",
    "X-ray",
    "Yankee",
    "Zulu",
]
_ITU_FIGURES = [
    "Nadazero",
    "Unaone",
    "Bissotwo",
    "Terrathree",
    "Kartefour",
    "Pantafive",
    "Soxisix",
    "Setteseven",
    "Oktoeight",
    "Novenine",
]
# Common practice, no source: amateurs say plain English figures.
_ENGLISH_FIGURES = ["Zero", "One", "Two", "Three", "Four", "Five", "Six", "Seven", "Eight", "Nine"]

# "stroke" is one of the words that 47 CFR 97.119(c) leaves to the operator.
_SIGNS = {"/": "stroke", "?": "unknown", ".": "decimal", "-": "dash"}
_UNKNOWN = "unknown"


def spell(text: str, digits: Literal["itu", "english"] = "english") -> str:
    """Return the spoken form of a call, a locator or a short word, one word a character.

    Letters are the code words of Radio Regulations, Appendix 14; `digits` chooses between the figure words of
    the same appendix and plain English. Blanks are passed over; any other sign is spoken as "unknown", since
    nobody can say it.
    """
    figures = _ITU_FIGURES if digits == "itu" else _ENGLISH_FIGURES
    return " ".join(_spoken(character, figures) for character in text if not character.isspace())


def _spoken(character: str, figures: list[str]) -> str:
    upper = character.upper()
    if "A" <= upper <= "Z" and len(upper) == 1 and character.isascii():
        return _LETTERS[ord(upper) - ord("A")]
    if "0" <= character <= "9":
        return figures[int(character)]
    return _SIGNS.get(character, _UNKNOWN)
