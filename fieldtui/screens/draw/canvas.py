"""A small picture of dots in the cells of a terminal: braille where the font has it, else one dot a cell. Pure."""

from __future__ import annotations

from fieldtui.screens.draw.glyphs import Glyphs

_BRAILLE = 0x2800
_BITS = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))
"""Of the eight dots of a cell, by row and column. Source: The Unicode Standard, Braille Patterns block."""
CELL_HEIGHT_TO_WIDTH = 2.0
"""Cells of usual terminal fonts are about twice as high as wide (common practice, no source)."""


class Canvas:
    """Dots below, words above: a word is never drawn over by a dot, nor over another word."""

    def __init__(self, width: int, height: int, glyphs: Glyphs) -> None:
        self.width, self.height = width, height
        self._fine = glyphs.name == "unicode"
        self._dot = "·" if not glyphs.encoding or glyphs.encoding == "cp437" else "."
        self._dots: dict[tuple[int, int], int] = {}
        self._words: dict[tuple[int, int], str] = {}

    def dot(self, column: float, row: float) -> None:
        """A dot at a place in cells, from the left and from the top."""
        cell = (int(column), int(row))
        if 0 <= column < self.width and 0 <= row < self.height:
            bit = _BITS[int(row % 1 * 4)][int(column % 1 * 2)] if self._fine else 1
            self._dots[cell] = self._dots.get(cell, 0) | bit

    def fits(self, text: str, column: int, row: int) -> bool:
        """Whether a word has room there, with a blank on both sides so that two never read as one."""
        if not (0 <= row < self.height and column >= 0 and column + len(text) <= self.width):
            return False
        return not any((at, row) in self._words for at in range(column - 1, column + len(text) + 1))

    def put(self, text: str, column: int, row: int) -> None:
        """Write a word of single-cell characters; what lies outside is cut off."""
        for offset, character in enumerate(text):
            if 0 <= column + offset < self.width and 0 <= row < self.height:
                self._words[column + offset, row] = character

    def free(self, column: int, row: int) -> bool:
        """Whether no word is there."""
        return (column, row) not in self._words

    def lines(self) -> list[str]:
        """The picture, row by row, each as wide as the canvas."""
        return [
            "".join(self._cell(column, row) for column in range(self.width)) for row in range(self.height)
        ]

    def _cell(self, column: int, row: int) -> str:
        if (word := self._words.get((column, row))) is not None:
            return word
        dots = self._dots.get((column, row))
        # A dot right beside a word would read as a part of it.
        if dots is None or (column - 1, row) in self._words or (column + 1, row) in self._words:
            return " "
        return chr(_BRAILLE + dots) if self._fine else self._dot
