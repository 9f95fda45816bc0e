"""Finding a number on a screen, as text or as big digits."""

from __future__ import annotations

from collections.abc import Sequence

from fieldtui.screens.draw.digits import big
from fieldtui.screens.draw.glyphs import UNICODE, Glyphs


def shows(lines: Sequence[str], number: str, glyphs: Glyphs = UNICODE) -> bool:
    """Whether a number stands somewhere whole: as text, or as big digits of either height."""
    if any(number in line for line in lines):
        return True
    return any(_shows_rows(lines, big(number, glyphs, rows=rows)) for rows in (3, 5))


def _shows_rows(lines: Sequence[str], digits: Sequence[str]) -> bool:
    width = len(digits[0])
    for top, line in enumerate(lines):
        column = line.find(digits[0])
        while column >= 0:
            # A terminal's row may end before its blanks do.
            block = [row[column : column + width].ljust(width) for row in lines[top : top + len(digits)]]
            if block == [row.ljust(width) for row in digits]:
                return True
            column = line.find(digits[0], column + 1)
    return False
