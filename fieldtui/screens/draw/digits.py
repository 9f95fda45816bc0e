"""Numbers that can be read at arm's length: three rows of half blocks, or five rows of full ones."""

from __future__ import annotations

from fieldtui.screens.draw.glyphs import Glyphs

# Five rows of dots each, from the top; a glyph is as wide as its rows.
_SHAPES = {
    "0": "111 101 101 101 111",
    "1": "010 110 010 010 111",
    "2": "111 001 111 100 111",
    "3": "111 001 111 001 111",
    "4": "101 101 111 001 001",
    "5": "111 100 111 001 111",
    "6": "111 100 111 101 111",
    "7": "111 001 001 010 010",
    "8": "111 101 111 101 111",
    "9": "111 101 111 001 111",
    "N": "1001 1101 1011 1001 1001",
    "O": "111 101 101 101 111",
    "W": "10001 10001 10101 10101 01010",
    "-": "000 000 111 000 000",
    "+": "000 010 111 010 000",
    ".": "0 0 0 0 1",
    ":": "0 1 0 1 0",
    " ": "0 0 0 0 0",
}


def big(text: str, glyphs: Glyphs, *, rows: int = 3) -> list[str]:
    """Digits, sign, point, colon and the letters of NOW as `rows` (3 or 5) lines of equal length; no others.

    Without block elements the text itself stands in the middle line.
    """
    if not glyphs.blocks:
        return [text if row == rows // 2 else "" for row in range(rows)]
    dots = _dots(text)
    if rows == 5:
        return [line.translate({ord("1"): glyphs.full * 2, ord("0"): "  "}) for line in dots]
    dots.append("0" * len(dots[0]))
    return [_halves(dots[row], dots[row + 1], glyphs) for row in range(0, 6, 2)]


def _dots(text: str) -> list[str]:
    shapes = [_SHAPES[character].split() for character in text if character in _SHAPES]
    return ["0".join(shape[row] for shape in shapes) for row in range(5)]


def _halves(upper: str, lower: str, glyphs: Glyphs) -> str:
    pick = {"11": glyphs.full, "10": glyphs.upper, "01": glyphs.lower, "00": " "}
    return "".join(pick[a + b] for a, b in zip(upper, lower, strict=True))
