"""What is typed or pasted, made safe to show and to keep: by the same door as files, with its blanks as typed."""

from __future__ import annotations

from fieldtui.radio.outside_text import REPLACEMENT
from fieldtui.radio.outside_text import clean_as_written as clean_text

__all__ = ["REPLACEMENT", "clean_text", "quote"]


def quote(text: str, limit: int = 24) -> str:
    """Return typed text for use inside a message: clean, and cut with an ellipsis when long."""
    cleaned = clean_text(text, limit + 1)
    return cleaned if len(cleaned) <= limit else cleaned[: limit - 1] + "…"
