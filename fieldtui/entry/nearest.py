"""Finds the word that was probably meant."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable


def nearest(word: str, choices: Iterable[str]) -> str | None:
    """Return the choice most like a mistyped word, or None when none is near."""
    # Needed only once something was mistyped.
    from difflib import get_close_matches  # noqa: PLC0415

    found = get_close_matches(word[:24].lower(), list(choices), n=1, cutoff=0.6)
    return found[0] if found else None
