"""Text of journals and addresses as it may go onto paper."""

from __future__ import annotations

from unicodedata import category

from fieldtui.radio.outside_text import clean_text


def plain_line(text: str | None, limit: int) -> str:
    """One line of printable text, at most `limit` characters; nothing given is an empty text.

    Control and format characters (bidirectional overrides among them) are taken out; what no font can have
    becomes U+FFFD, so that it is seen.
    """
    if not text:
        return ""
    kept = "".join(each for each in text if each.isspace() or category(each) not in ("Cc", "Cf"))
    return " ".join(clean_text(kept, limit).split())
