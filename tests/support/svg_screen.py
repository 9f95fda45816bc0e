"""Draws the screen of a terminal emulator as an SVG picture: text and colours, nothing else.

Blocks and borders are drawn as rectangles, since fonts leave gaps between their rows.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from html import escape
from itertools import groupby

import pyte
from pyte.screens import Char

WIDTH, HEIGHT, MARGIN = 9, 18, 8
BASELINE = 14
_FONT = "ui-monospace, 'DejaVu Sans Mono', Menlo, Consolas, monospace"

# The sixteen colours of a terminal, as xterm has them (XTerm-col.ad, the default resources).
_NAMED = {
    "black": "000000", "red": "cd0000", "green": "00cd00", "brown": "cdcd00", "blue": "0000ee",
    "magenta": "cd00cd", "cyan": "00cdcd", "white": "e5e5e5", "brightblack": "7f7f7f", "brightred": "ff0000",
    "brightgreen": "00ff00", "brightbrown": "ffff00", "brightblue": "5c5cff", "brightmagenta": "ff00ff",
    "brightcyan": "00ffff", "brightwhite": "ffffff",
}  # fmt: skip

Box = tuple[float, float, float, float, float]
"""Left, top, width and height in parts of a cell, and opacity."""

_BLOCKS: dict[str, Box] = {
    "█": (0, 0, 1, 1, 1),
    "▀": (0, 0, 1, 0.5, 1),
    "▌": (0, 0, 0.5, 1, 1),
    "▐": (0.5, 0, 0.5, 1, 1),
    "░": (0, 0, 1, 1, 0.25),
    "▒": (0, 0, 1, 1, 0.5),
    "▓": (0, 0, 1, 1, 0.75),
    **{mark: (0, 1 - eighths / 8, 1, eighths / 8, 1) for eighths, mark in enumerate("▁▂▃▄▅▆▇", 1)},
}

_ARMS = {
    "─": "lr", "│": "ud", "┌": "dr", "┐": "dl", "└": "ur", "┘": "ul",
    "═": "lr", "║": "ud", "╔": "dr", "╗": "dl", "╚": "ur", "╝": "ul",
}  # fmt: skip
_DOUBLE = "═║╔╗╚╝"
_GRAPHIC = {*_BLOCKS, *_ARMS}


@dataclass(frozen=True, slots=True)
class _Look:
    """How a run of cells is drawn."""

    ink: str
    paper: str
    bold: bool
    graphic: bool


def svg_of(screen: pyte.Screen, title: str, *, ink: str, paper: str) -> str:
    """Return the whole screen; `ink` and `paper` are the default colours as six hexadecimal digits."""
    width, height = screen.columns * WIDTH + 2 * MARGIN, screen.lines * HEIGHT + 2 * MARGIN
    size = f'viewBox="0 0 {width} {height}" width="{width}" height="{height}"'
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" {size} font-family="{_FONT}" font-size="15">',
        f"<title>{escape(title)}</title>",
        f'<rect width="{width}" height="{height}" rx="6" fill="#{paper}"/>',
    ]
    for row in range(screen.lines):
        parts += _row([screen.buffer[row][column] for column in range(screen.columns)], row, ink, paper)
    return "\n".join([*parts, "</svg>", ""])


def _row(cells: list[Char], row: int, ink: str, paper: str) -> Iterator[str]:
    column = 0
    for look, run in groupby(cells, key=lambda cell: _look(cell, ink, paper)):
        text = "".join(cell.data for cell in run)
        if look.paper != paper:
            yield _box(look.paper, column, row, (0, 0, len(text), 1, 1))
        if look.graphic:
            yield from _graphics(text, look, column, row)
        elif text.strip():
            yield _text(text, look, column, row)
        column += len(text)


def _look(cell: Char, ink: str, paper: str) -> _Look:
    front, back = _colour(cell.fg, ink), _colour(cell.bg, paper)
    if cell.reverse:
        front, back = back, front
    return _Look(front, back, cell.bold, cell.data in _GRAPHIC)


def _colour(name: str, default: str) -> str:
    return default if name == "default" else _NAMED.get(name, name)


def _text(text: str, look: _Look, column: int, row: int) -> str:
    word = text.strip()
    x = MARGIN + (column + len(text) - len(text.lstrip())) * WIDTH
    weight = ' font-weight="bold"' if look.bold else ""
    # The length holds the grid, whatever font the reader has.
    return (
        f'<text x="{x}" y="{MARGIN + row * HEIGHT + BASELINE}" textLength="{len(word) * WIDTH}" '
        f'lengthAdjust="spacingAndGlyphs" xml:space="preserve" fill="#{look.ink}"{weight}>{escape(word)}</text>'
    )


def _graphics(text: str, look: _Look, column: int, row: int) -> Iterator[str]:
    for mark, run in groupby(text):
        length = len([*run])
        boxes = [_BLOCKS[mark]] if mark in _BLOCKS else _border(mark)
        wide = len(boxes) == 1 and boxes[0][2] == 1
        for at in range(1 if wide else length):
            for left, top, width, height, opacity in boxes:
                stretched = width + length - 1 if wide else width
                yield _box(look.ink, column + at, row, (left, top, stretched, height, opacity))
        column += length


def _border(mark: str) -> list[Box]:
    """One box for each straight stretch of a border character."""
    arms, thick = _ARMS[mark], 2.5 if mark in _DOUBLE else 1.2
    across, down = thick / WIDTH, thick / HEIGHT
    if arms == "lr":
        return [(0, 0.5 - down / 2, 1, down, 1)]
    boxes: list[Box] = []
    if "u" in arms or "d" in arms:
        top, bottom = (0.0 if "u" in arms else 0.5 - down / 2), (1.0 if "d" in arms else 0.5 + down / 2)
        boxes.append((0.5 - across / 2, top, across, bottom - top, 1))
    if "l" in arms or "r" in arms:
        left, right = (0.0 if "l" in arms else 0.5), (1.0 if "r" in arms else 0.5)
        boxes.append((left, 0.5 - down / 2, right - left, down, 1))
    return boxes


def _box(colour: str, column: int, row: int, box: Box) -> str:
    left, top, width, height, opacity = box
    x, y = MARGIN + (column + left) * WIDTH, MARGIN + (row + top) * HEIGHT
    faint = f' fill-opacity="{opacity:g}"' if opacity < 1 else ""
    size = f'width="{width * WIDTH:.5g}" height="{height * HEIGHT:.4g}"'
    return f'<rect x="{x:.5g}" y="{y:.5g}" {size} fill="#{colour}"{faint}/>'
