"""Text for an ADI file, which holds the characters 32 to 126 only (ADIF 3.1.6, data type String).

Accents are dropped, letters that have no plain form are spelled, everything else becomes a question mark: an
ADI file has no right way to write `Zoë`, and the ADX types for it must not occur there.
"""

from __future__ import annotations

from unicodedata import category, normalize

from fieldtui.entry.text import clean_text

_SPELLED = {
    "ß": "ss", "ẞ": "SS", "æ": "ae", "Æ": "AE", "œ": "oe", "Œ": "OE", "ø": "o", "Ø": "O", "đ": "d", "Đ": "D",
    "ð": "d", "Ð": "D", "þ": "th", "Þ": "Th", "ł": "l", "Ł": "L", "ı": "i", "ħ": "h", "Ħ": "H", "ŋ": "ng",
    "Ŋ": "Ng", "‘": "'", "’": "'", "“": '"', "”": '"', "–": "-", "—": "-", "−": "-", "…": "...",
}  # fmt: skip
"""Letters that Unicode does not take apart, and the signs that word processors put in (common practice, no source)."""

MOST_CHARACTERS = 3000
"""Folding may lengthen a text; this keeps it as long as a text of a journal may be."""


def fold(text: str) -> str:
    """One line of plain ASCII, without blanks around it; a line break or a tab becomes a blank."""
    if text.isascii() and text.isprintable():
        return text[:MOST_CHARACTERS].strip()
    cleaned = clean_text(text, MOST_CHARACTERS)
    return "".join(map(_plain, cleaned))[:MOST_CHARACTERS].strip()


def fold_lines(text: str) -> str:
    r"""The same with line breaks kept, as CR LF (data type MultilineString)."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n")[:MOST_CHARACTERS].split("\n")
    folded = "\n".join(map(fold, lines))[:MOST_CHARACTERS].strip()
    return "\r\n".join(line.strip() for line in folded.split("\n"))


def _plain(character: str) -> str:
    if " " <= character <= "~":
        return character
    parts = "".join(
        _SPELLED.get(part, part) for part in normalize("NFKD", _SPELLED.get(character, character))
    )
    kept = (part for part in parts if not category(part).startswith("M"))
    return "".join(part if " " <= part <= "~" else "?" for part in kept)
