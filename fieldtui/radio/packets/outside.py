r"""The door for text from the air: bytes become characters that can be drawn, and nothing else.

What could act on a terminal or mislead a reader is made visible (`\x1b`, `\u202e`) rather than dropped, so that
an attack looks like one. The bytes themselves stay in the journal.
"""

from __future__ import annotations

from unicodedata import category

MOST_CHARACTERS = 1100
"""Of one text: 256 bytes, each at worst an escape of four characters."""

_MARKS = frozenset({"Mn", "Me"})
_MOST_MARKS = 2


def shown(data: bytes) -> str:
    r"""Return text from the air, safe to draw: UTF-8, and a byte that is none as `\xff`.

    Control, format (bidirectional overrides, invisible joiners), private and unassigned characters become
    escapes; of combining marks in a row two stay.
    """
    text = data.decode("utf-8", "backslashreplace")
    if text.isascii() and text.isprintable():
        return text[:MOST_CHARACTERS]
    kept: list[str] = []
    marks = 0
    for character in text:
        marks = marks + 1 if category(character) in _MARKS else 0
        if marks <= _MOST_MARKS:
            kept.append(_visible(character))
    return "".join(kept)[:MOST_CHARACTERS]


def plain(data: bytes) -> str:
    """Return bytes as one character each, for patterns; never to be shown."""
    return data.decode("latin-1")


def _visible(character: str) -> str:
    # isprintable() is false for controls, formats, surrogates, private use, unassigned and odd blanks.
    if character.isprintable():
        return character
    number = ord(character)
    if number < 0x100:
        return f"\\x{number:02x}"
    return f"\\u{number:04x}" if number < 0x10000 else f"\\U{number:08x}"
