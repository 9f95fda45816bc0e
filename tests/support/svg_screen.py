"""Draws the screen of a terminal emulator as an SVG picture: text and colours, nothing else."""

from __future__ import annotations

from dataclasses import dataclass
from html import escape
from itertools import groupby

import pyte
from pyte.screens import Char

CELL_WIDTH, CELL_HEIGHT, MARGIN = 9, 18, 8
BASELINE = 14
_FONT = "ui-monospace, 'DejaVu Sans Mono', Menlo, Consolas, monospace"

# The sixteen colours of a terminal, as xterm has them (XTerm-col.ad, the default resources).
_NAMED = {
    "black": "000000", "red": "cd0000", "green": "00cd00", "brown": "cdcd00", "blue": "0000ee",
    "magenta": "cd00cd", "cyan": "00cdcd", "white": "e5e5e5", "brightblack": "7f7f7f", "brightred": "ff0000",
    "brightgreen": "00ff00", "brightbrown": "ffff00", "brightblue": "5c5cff", "brightmagenta": "ff00ff",
    "brightcyan": "00ffff", "brightwhite": "ffffff",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Look:
    """How a run of cells is drawn."""

    ink: str
    paper: str
    bold: bool
    underlined: bool


def svg_of(screen: pyte.Screen, title: str, *, ink: str, paper: str) -> str:
    """Return the whole screen; `ink` and `paper` are the default colours as six hexadecimal digits."""
    width = screen.columns * CELL_WIDTH + 2 * MARGIN
    height = screen.lines * CELL_HEIGHT + 2 * MARGIN
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" width="{width}" '
        f'height="{height}" font-family="{_FONT}" font-size="15">',
        f"<title>{escape(title)}</title>",
        f'<rect width="{width}" height="{height}" rx="6" fill="#{paper}"/>',
    ]
    for row in range(screen.lines):
        parts += _row(screen, row, ink, paper)
    return "\n".join([*parts, "</svg>", ""])


def _row(screen: pyte.Screen, row: int, ink: str, paper: str) -> list[str]:
    cells = [screen.buffer[row][column] for column in range(screen.columns)]
    parts, column = [], 0
    for look, run in groupby(cells, key=lambda cell: _look(cell, ink, paper)):
        text = "".join(cell.data for cell in run)
        parts += _run(text, look, column, row, paper)
        column += len(text)
    return parts


def _look(cell: Char, ink: str, paper: str) -> _Look:
    front, back = _colour(cell.fg, ink), _colour(cell.bg, paper)
    if cell.reverse:
        front, back = back, front
    return _Look(front, back, cell.bold, cell.underscore)


def _colour(name: str, default: str) -> str:
    return default if name == "default" else _NAMED.get(name, name)


def _run(text: str, look: _Look, column: int, row: int, paper: str) -> list[str]:
    x, y = MARGIN + column * CELL_WIDTH, MARGIN + row * CELL_HEIGHT
    parts = []
    if look.paper != paper:
        parts.append(
            f'<rect x="{x}" y="{y}" width="{len(text) * CELL_WIDTH}" height="{CELL_HEIGHT}" '
            f'fill="#{look.paper}"/>'
        )
    if text.strip():
        blanks = len(text) - len(text.lstrip())
        word = text.strip()
        style = ' font-weight="bold"' if look.bold else ""
        style += ' text-decoration="underline"' if look.underlined else ""
        # The length holds the grid, whatever font the reader has.
        parts.append(
            f'<text x="{x + blanks * CELL_WIDTH}" y="{y + BASELINE}" textLength="{len(word) * CELL_WIDTH}" '
            f'lengthAdjust="spacingAndGlyphs" xml:space="preserve" fill="#{look.ink}"{style}>'
            f"{escape(word)}</text>"
        )
    return parts
