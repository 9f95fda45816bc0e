"""Makes text from outside safe to show and to keep: one door for everything that was typed or pasted."""

from __future__ import annotations

from unicodedata import category, normalize

REPLACEMENT = "\ufffd"
"""Stands for each character taken out, so that what was apart is never joined."""

_BREAKS = frozenset("\t\n\v\f\r\x1c\x1d\x1e\x1f\x85\u2028\u2029")

# Control, format (bidirectional overrides, invisible joiners), surrogate, private use, unassigned, line and
# paragraph separators: they move cursors, reorder what is read, or break a one-line rule.
_REFUSED = frozenset({"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"})

_MARKS = frozenset({"Mn", "Me"})
_MOST_MARKS = 2


def clean_text(text: str, limit: int) -> str:
    """Return `text` composed (NFC), free of anything but printable characters, cut to `limit` characters.

    A tab or a line break becomes a blank, any other character that could act on a terminal or hide becomes
    U+FFFD, and of combining marks in a row only the first two stay, since more spill over other lines.
    Cleaning twice changes nothing.
    """
    if text.isascii() and text.isprintable():
        return text[:limit]
    kept: list[str] = []
    marks = 0
    for character in normalize("NFC", text):
        marks = marks + 1 if category(character) in _MARKS else 0
        if marks <= _MOST_MARKS:
            kept.append(_shown(character))
    return normalize("NFC", "".join(kept))[:limit]


def quote(text: str, limit: int = 24) -> str:
    """Return typed text for use inside a message: clean, and cut with an ellipsis when long."""
    cleaned = clean_text(text, limit + 1)
    return cleaned if len(cleaned) <= limit else cleaned[: limit - 1] + "…"


def _shown(character: str) -> str:
    if character in _BREAKS:
        return " "
    return REPLACEMENT if category(character) in _REFUSED else character
