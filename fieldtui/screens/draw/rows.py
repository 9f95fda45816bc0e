"""Giving rows to what is said: a long answer takes the free ones, and is never cut while there are any. Pure."""

from __future__ import annotations

from collections.abc import Sequence

from fieldtui.screens.draw.panes import PLAIN, Line
from fieldtui.screens.draw.text import clip, rows_of

DOUBT = "!"
"""How what has to be read begins; what is only good to know has its own row, and is cut there."""
MOST_MESSAGE_ROWS = 4
_ROWS_OF_A_SHORT_SCREEN = 14


def arranged(lines: Sequence[Line], width: int, rows: int) -> tuple[list[Line], str]:
    """The read-back in so many rows; and its last line if that is a doubt, and has no room there.

    The last line, what is to be said, takes the blank rows above it; all others keep their places. Where it goes
    elsewhere, a line above it that is cut has its row.
    """
    if not lines or not rows:
        return [], ""
    *above, (text, style) = lines
    needed = len(rows_of(text, width, 100))
    while above and not above[-1][0] and len(above) + needed > rows:
        above.pop()
    unread = text if text.startswith(DOUBT) and len(above) + needed > rows else ""
    cut = above and len(rows_of(above[-1][0], width, 100)) > 1
    shown = above if unread and cut else [*above, (text, style)]
    return _spread(shown[:rows], width, rows), unread


def _spread(lines: Sequence[Line], width: int, rows: int) -> list[Line]:
    """Lines in a row each, but for the last, which has all rows that are left."""
    *first, (text, style) = lines
    last = rows_of(text, width, rows - len(first))
    return [*((clip(words, width), each) for words, each in first), *((row, style) for row in last)]


def most_message_rows(height: int) -> int:
    """How many rows of a terminal the message may take: they are the last of the list of contacts."""
    return max(1, min(MOST_MESSAGE_ROWS, 1 + (height - _ROWS_OF_A_SHORT_SCREEN) // 2))


def message_rows(texts: Sequence[str], width: int, most: int, style: str = PLAIN) -> list[Line]:
    """What there is to say, one thing below the other; the first is served first, each gets a row at least."""
    told = [text for text in texts if text][:most]
    rows: list[str] = []
    for left, text in zip(range(len(told) - 1, -1, -1), told, strict=True):
        rows += rows_of(text, width, most - len(rows) - left)
    return [(row, style) for row in rows]
