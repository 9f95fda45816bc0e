"""A page that may be longer than the screen: which rows are seen, and words that say that there is more. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import wrap

from fieldtui.screens.draw.panes import Line
from fieldtui.screens.draw.text import clip
from fieldtui.screens.keys import OLDER

LEAST_WIDTH = 20


def window(lines: Sequence[Line], first: int, rows: int) -> tuple[int, Sequence[Line]]:
    """The rows that are seen from `first` on, and where they begin: never so far down that rows stay empty."""
    first = max(0, min(first, len(lines) - rows))
    return first, lines[first : first + max(0, rows)]


def footer(words: str, first: int, rows: int, of: int, width: int) -> str:
    """The last line of a page: the keys, and where in the page one is; that there is more is never cut."""
    if of <= rows or not rows:
        return clip(words, width)
    more = f", {OLDER} more" if first + rows < of else ""
    place = f"{first + 1}-{min(of, first + rows)} of {of}{more}"
    room = width - len(place) - 2
    return f"{clip(words, room)}  {place}" if room >= LEAST_WIDTH else clip(place, width)


def steps_of(key: str, rows: int) -> int | None:
    """How far a key moves on a page of so many rows; None for a key that does not."""
    page = max(1, rows - 1)
    moves = {"up": -1, "down": 1, "pageup": -page, "pagedown": page, "home": -100_000, "end": 100_000}
    return moves.get(key)


def folded(text: str, width: int, style: str = "") -> list[Line]:
    """A line over several rows; rows after the first stand below the words of the second column, if it has one."""
    lead = len(text) - len(text.lstrip(" "))
    column = text.find("  ", lead)
    if column >= 0:
        lead = len(text) - len(text[column:].lstrip(" "))
    if len(text) <= width:
        return [(text, style)]
    indent = " " * min(lead, width // 3)
    head, tail = (text[:lead], text[lead:]) if column >= 0 else ("", text)
    if len(head) > len(indent):
        # A first column that is wide itself keeps a row of its own.
        return [*folded(head.rstrip(), width, style), *folded(indent + tail, width, style)]
    rows = wrap(tail.strip(), max(8, width - len(indent)), break_long_words=True) or [""]
    return [((head if not row else "").ljust(len(indent)) + words, style) for row, words in enumerate(rows)]
