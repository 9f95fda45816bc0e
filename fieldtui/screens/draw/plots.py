"""Bars and small plots."""

from __future__ import annotations

from collections.abc import Sequence

from fieldtui.screens.draw.glyphs import Glyphs


def bar(part: float, width: int, glyphs: Glyphs) -> str:
    """A bar that is `part` (0 to 1) full."""
    filled = round(min(1.0, max(0.0, part)) * width)
    return glyphs.full * filled + glyphs.rest * (width - filled)


def small_plot(
    points: Sequence[tuple[float, float]],
    *,
    start: float,
    end: float,
    width: int,
    height: int,
    glyphs: Glyphs,
) -> list[str]:
    """Values over time as `height` lines, the lowest value of each column; a column without one is blank.

    `points` are (seconds, value) in time order. The scale runs from the lowest to the highest value.
    """
    columns = _columns(points, start, end, width)
    values = [value for value in columns if value is not None]
    if not values:
        return [" " * width] * height
    low, high = min(values), max(values)
    steps = len(glyphs.levels)
    scale = (height * steps - 1) / (high - low) if high > low else 0.0
    heights = [None if value is None else round((value - low) * scale) for value in columns]
    return [_row(heights, row, steps, glyphs) for row in reversed(range(height))]


def _columns(
    points: Sequence[tuple[float, float]], start: float, end: float, width: int
) -> list[float | None]:
    columns: list[float | None] = [None] * width
    for seconds, value in points:
        if start <= seconds <= end and end > start:
            column = min(width - 1, int((seconds - start) / (end - start) * width))
            before = columns[column]
            columns[column] = value if before is None else min(before, value)
    return columns


def _row(heights: Sequence[int | None], row: int, steps: int, glyphs: Glyphs) -> str:
    def cell(height: int | None) -> str:
        if height is None or height < row * steps:
            return " "
        return glyphs.levels[min(steps - 1, height - row * steps)]

    return "".join(cell(height) for height in heights)


def marks(
    spans: Sequence[tuple[float, float]], *, start: float, end: float, width: int, mark: str, blank: str = " "
) -> str:
    """One row over time in which the columns that a span touches are marked."""
    if end <= start:
        return blank * width
    touched = [False] * width
    for first, last in spans:
        left = max(0, int((first - start) / (end - start) * width))
        right = min(width - 1, int((last - start) / (end - start) * width))
        for column in range(left, right + 1):
            touched[column] = True
    return "".join(mark if one else blank for one in touched)
