"""Text from files that anyone may have written: decoded, cleaned, bounded, refused in plain words."""

from __future__ import annotations

from typing import TYPE_CHECKING
from unicodedata import category, normalize

if TYPE_CHECKING:
    from collections.abc import Iterable

REPLACEMENT = "\ufffd"
"""Stands for each character taken out, so that what was apart is never joined."""

_BREAKS = frozenset("\t\n\v\f\r\x1c\x1d\x1e\x1f\x85\u2028\u2029")

# Control, format (bidirectional overrides among them), surrogate, private, unassigned, separators: they move
# cursors, reorder what is read or hide.
_REFUSED = frozenset({"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"})
_MARKS = frozenset({"Mn", "Me"})
_MOST_MARKS = 2


class RefusedError(ValueError):
    """A value that cannot be taken: what is wrong with it, and what is accepted in its place."""

    def __init__(self, what: str, accepted: str) -> None:
        super().__init__(f"{what}: {accepted}")
        self.what = what
        self.accepted = accepted


def decode_text(data: bytes) -> str:
    r"""Return the text of a file, whatever wrote it, with `\n` as its only line end; never raises.

    UTF-8 with or without a byte-order mark; what is not UTF-8 is taken as Windows-1252, or as Latin-1 where
    that has no character.
    """
    for encoding in ("utf-8-sig", "cp1252"):
        try:
            text = data.decode(encoding)
            break
        except UnicodeDecodeError:
            continue
    else:
        text = data.decode("latin-1")
    return text.replace("\r\n", "\n").replace("\r", "\n")


def clean_text(text: str, limit: int) -> str:
    """Return `text` on one line and safe to draw: as `clean_as_written` has it, with no blanks around it."""
    return _cleaned(text).strip()[:limit].rstrip()


def clean_as_written(text: str, limit: int) -> str:
    """Return `text` composed (NFC), free of anything but printable characters, cut to `limit` characters.

    Breaks and wide blanks become plain blanks, any other character that could act on a terminal or hide becomes
    U+FFFD, and of combining marks in a row only the first two stay, since more spill over other lines.
    Cleaning twice changes nothing.
    """
    return _cleaned(text)[:limit]


def _cleaned(text: str) -> str:
    if text.isascii() and text.isprintable():
        return text
    kept: list[str] = []
    marks = 0
    for character in normalize("NFC", text):
        marks = marks + 1 if category(character) in _MARKS else 0
        if marks <= _MOST_MARKS:
            kept.append(_shown(character))
    return normalize("NFC", "".join(kept))


def quoted(text: str) -> str:
    """Return outside text for use inside a message: clean, short, in quotes."""
    cleaned = clean_text(text, 30)
    return f'"{cleaned}"' if len(cleaned) < 30 else f'"{cleaned[:27]}..."'


def nearest_name(word: str, names: Iterable[str]) -> str | None:
    """Return the name most like a mistyped word, or None when none is near."""
    # Needed only once something was mistyped.
    from difflib import get_close_matches  # noqa: PLC0415

    found = get_close_matches(word[:40].lower(), list(names), n=1, cutoff=0.7)
    return found[0] if found else None


def _shown(character: str) -> str:
    kind = category(character)
    if character in _BREAKS or kind == "Zs":
        return " "
    return REPLACEMENT if kind in _REFUSED else character
