"""A path as lines of text: ground, line of sight and Fresnel zone, in braille, in blocks, or in plain ASCII."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from fieldtui.planning.profile import TerrainProfile
from fieldtui.planning.profile_lines import Column, columns, span_m

Style = Literal["braille", "blocks", "ascii"]

LEAST_WIDTH, LEAST_HEIGHT = 30, 7
_SCALE_WIDTH = 8
_DOTS = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))
_BRAILLE = 0x2800


@dataclass(frozen=True, slots=True)
class _Glyphs:
    levels: str
    line: str
    zone: str
    rule: str


_GLYPHS = {
    "braille": _Glyphs("▁▂▃▄▅▆▇█", "", "", "─"),
    "blocks": _Glyphs("▄█", "─", "·", "─"),
    "ascii": _Glyphs("#", "-", ".", "-"),
}


def draw_profile(
    profile: TerrainProfile,
    height1_m: float,
    height2_m: float,
    hertz: float,
    *,
    width: int = 78,
    height: int = 18,
    style: Style = "braille",
) -> list[str]:
    """Return `height` lines of at most `width` characters; small sizes are taken as 30 x 7.

    A and B are the antennas, at their heights above the sea. `x` marks ground that stands above the line.
    """
    width, height = max(width, LEAST_WIDTH), max(height, LEAST_HEIGHT)
    across, down = width - _SCALE_WIDTH, height - 3
    drawn = columns(profile, height1_m, height2_m, hertz, 2 * across)
    picture = _Picture(drawn, across, down, _GLYPHS[style], dots=style == "braille")
    rows = [_scale(picture, row, down) + picture.row(row) for row in reversed(range(down))]
    middle = f"{profile.length_m / 2000:.1f}"
    far = f"{profile.length_m / 1000:.1f} km"
    gap = max(1, across // 2 - 1 - len(middle) // 2)
    axis = f"{'0':<{gap}}{middle}"
    axis += far.rjust(across - len(axis))
    zone = "dotted" if style == "braille" else _GLYPHS[style].zone
    legend = f"A to B: straight line; {zone}: first Fresnel zone; x: ground above the line"
    if len(legend) > width:
        legend = f"{zone}: Fresnel; x: blocked"
    blank = " " * _SCALE_WIDTH
    ruled = blank + _GLYPHS[style].rule * across
    return [*rows, ruled, blank + axis, legend]


def _scale(picture: _Picture, row: int, down: int) -> str:
    if row in (0, down - 1, down // 2):
        return f"{picture.metres_at(row):>6.0f} m"[:_SCALE_WIDTH].ljust(_SCALE_WIDTH)
    return " " * _SCALE_WIDTH


class _Picture:
    """Columns of ground in cells. `drawn` has two columns for each cell."""

    def __init__(self, drawn: list[Column], across: int, down: int, glyphs: _Glyphs, *, dots: bool) -> None:
        self._drawn, self._across, self._down = drawn, across, down
        self._glyphs, self._dots = glyphs, dots
        self._low, high = span_m(drawn)
        self._rows_a_metre = (down - 0.01) / (high - self._low)
        self._marks = self._dot_marks() if dots else self._cell_marks()
        self._ends = {
            (self._row_of(drawn[0].line_m), 0): "A",
            (self._row_of(drawn[-1].line_m), across - 1): "B",
        }

    def metres_at(self, row: int) -> float:
        """Height of the middle of a row, counted from the bottom."""
        return self._low + (row + 0.5) / self._rows_a_metre

    def row(self, row: int) -> str:
        """One row of cells, counted from the bottom."""
        return "".join(self._cell(row, column) for column in range(self._across)).rstrip()

    def _cell(self, row: int, column: int) -> str:
        place = row, column
        if place in self._ends:
            return self._ends[place]
        pair = self._drawn[2 * column : 2 * column + 2]
        if any(one.blocked and self._row_of(one.line_m) == row for one in pair):
            return "x"
        mark = self._marks.get(place)
        if mark:
            return mark
        # Ground at the very bottom is still ground: the lowest level is drawn.
        filled = max((one.ground_m - self._low) * self._rows_a_metre for one in pair) - row
        levels = self._glyphs.levels
        if filled <= 0:
            return levels[0] if row == 0 else " "
        return levels[min(len(levels) - 1, int(filled * len(levels)))]

    def _row_of(self, metres: float) -> int:
        return min(self._down - 1, max(0, int((metres - self._low) * self._rows_a_metre)))

    def _dot_marks(self) -> dict[tuple[int, int], str]:
        """Line and zone as braille dots, where they are above the ground."""
        bits: dict[tuple[int, int], int] = {}
        for number, column in enumerate(self._drawn):
            # The line is whole, the edges of the zone are dotted.
            heights = [column.line_m]
            if number % 3 == 0:
                heights += [column.line_m - column.zone_m, column.line_m + column.zone_m]
            for metres in heights:
                if metres < max(column.ground_m, self._low):
                    continue
                steps = min(4 * self._down - 1, int(4 * (metres - self._low) * self._rows_a_metre))
                place = steps // 4, number // 2
                bits[place] = bits.get(place, 0) | _DOTS[3 - steps % 4][number % 2]
        return {place: chr(_BRAILLE + bit) for place, bit in bits.items()}

    def _cell_marks(self) -> dict[tuple[int, int], str]:
        """Line and zone as one character a cell, where they are above the ground."""
        marks: dict[tuple[int, int], str] = {}
        for number in range(0, len(self._drawn), 2):
            column = self._drawn[number]
            edges = (column.line_m - column.zone_m, column.line_m + column.zone_m)
            for metres, mark in (
                *((edge, self._glyphs.zone) for edge in edges),
                (column.line_m, self._glyphs.line),
            ):
                if metres >= max(column.ground_m, self._low):
                    marks[self._row_of(metres), number // 2] = mark
        return marks
