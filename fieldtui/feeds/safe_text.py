"""Text from a wire or from the outside, made fit to be shown.

Control characters can drive a terminal, bidirectional overrides can turn a line round, and a square
bracket may open markup in whatever draws the line: each is written as an escape instead.
"""

from __future__ import annotations

LONGEST_QUOTE = 40
"""Characters of a quoted line that are shown: enough to recognise it, short enough for a pane."""


def quoted(data: bytes) -> str:
    """Quote bytes from the wire: printable ASCII as it is, anything else as `\\x1b`, cut if long."""
    shown = safe_text(data[:LONGEST_QUOTE].decode("latin-1"), only_ascii=True)
    return f"'{shown}'" + ("..." if len(data) > LONGEST_QUOTE else "")


def safe_text(text: str, *, longest: int = 200, only_ascii: bool = False) -> str:
    """Make control, bidirectional, unpaired and markup characters visible and cut what is too long."""
    shown = "".join(_shown(character, only_ascii) for character in text[:longest])
    return shown + ("..." if len(text) > longest else "")


def _shown(character: str, only_ascii: bool) -> str:
    # isprintable() is false for every control, format (bidirectional ones too), surrogate and unassigned one.
    if character.isprintable() and character not in "[]\\" and (character.isascii() or not only_ascii):
        return character
    number = ord(character)
    if number < 0x100:
        return f"\\x{number:02x}"
    return f"\\u{number:04x}" if number < 0x10000 else f"\\U{number:08x}"
