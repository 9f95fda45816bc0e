"""Sections for a terminal: tables, bars of block characters, a line of volts. Colour only where there is one."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from rich.box import SIMPLE_HEAD
from rich.console import Group, RenderableType
from rich.padding import Padding
from rich.rule import Rule
from rich.table import Table as Grid
from rich.text import Text

from fieldtui.outputs.report_blocks import Bar, Block, Facts, Levels, Picture, Section, Table, Words
from fieldtui.outputs.report_html import Head

MOST_BARS = 40
LEAST_WIDTH = 30
WIDE = 130
"""Columns from which the table of contacts fits with every cell on one line."""


class _Marks(NamedTuple):
    """What bars and lines are drawn with; `parts` of a cell, `heights` from the lowest."""

    full: str
    parts: Sequence[str]
    heights: Sequence[str]


_BLOCKS = _Marks("█", " ▏▎▍▌▋▊▉", "▁▂▃▄▅▆▇█")
_ASCII = _Marks("#", " ", "_.-~=+*#")

# Controls of both sets, separators and orders of direction: what a terminal obeys and a reader does not see.
_ACTING = re.compile("[\x00-\x1f\x7f-\x9f\u200e\u200f\u2028-\u202e\u2066-\u2069]")


def drawn(
    head: Head, sections: Sequence[Section], width: int, *, ascii_only: bool = False
) -> Iterator[RenderableType]:
    """Each part for `Console.print`, in order; `width` in characters."""
    marks = _ASCII if ascii_only else _BLOCKS
    if head.demo:
        yield _text("DEMO: places, people and contacts are invented", style="bold")
    yield _text(head.title, style="bold")
    yield _text(", ".join(filter(None, (head.above, head.below))))
    if head.warning:
        yield _text(f"! {head.warning}", style="bold")
    for section in sections:
        yield _text("")
        yield Rule(_text(section.title, style="bold"), align="left", characters="-" if ascii_only else "─")
        for block in section.blocks:
            yield _block(block, max(LEAST_WIDTH, width), marks)


def _block(block: Block, width: int, marks: _Marks) -> RenderableType:
    match block:
        case Words(text=text, tone=tone):
            mark = {"plain": "", "caution": "~ ", "warning": "! "}[tone]
            return _text(mark + text, style="bold" if tone == "warning" else "")
        case Facts():
            return _facts(block)
        case Table():
            as_lines = block.cards and width < WIDE
            return Group(_text(block.caption), _lines(block) if as_lines else _table(block))
        case Picture():
            return _picture(block, width, marks)


def _facts(block: Facts) -> RenderableType:
    grid = Grid.grid(padding=(0, 2))
    grid.add_column(no_wrap=True)
    grid.add_column(no_wrap=True, style="bold")
    grid.add_column()
    for fact in block.facts:
        grid.add_row(_text(fact.label), _text(fact.value), _text(fact.note))
    return grid


def _table(block: Table) -> RenderableType:
    grid = Grid(box=SIMPLE_HEAD, pad_edge=False, expand=False)
    for column in block.columns:
        grid.add_column(
            _text(column.name),
            justify="right" if column.numeric else "left",
            no_wrap=not column.long,
            overflow="fold",
            min_width=20 if column.long else None,
        )
    for row in block.rows:
        cells = [_text(cell, style="strike" if row.struck else "") for cell in row.cells]
        if row.remark:
            at = next((number for number, column in enumerate(block.columns) if column.long), 0)
            cells[at].append(f"\n{row.remark}", style="italic not strike")
        grid.add_row(*cells)
    return grid


def _lines(block: Table) -> RenderableType:
    """For a narrow terminal: short cells on one line, the long ones and the remark below them."""
    short = [at for at, column in enumerate(block.columns) if not column.long]
    widths = {at: max(len(row.cells[at]) for row in block.rows) for at in short}
    lines: list[RenderableType] = []
    for row in block.rows:
        cells = [
            row.cells[at].rjust(widths[at]) if block.columns[at].numeric else row.cells[at].ljust(widths[at])
            for at in short
            if widths[at]
        ]
        lines.append(_text("  ".join(cells).rstrip(), style="strike" if row.struck else ""))
        below = [cell for at, cell in enumerate(row.cells) if at not in widths and cell]
        lines += [Padding(_text(text), (0, 0, 0, 4)) for text in [*below, row.remark] if text]
    return Group(*lines)


def _picture(block: Picture, width: int, marks: _Marks) -> RenderableType:
    parts: list[RenderableType] = [Text.assemble((block.title, "bold"), "  ", block.words)]
    if block.bars:
        parts.append(Padding(_bars(block.bars, width, marks), (0, 0, 0, 2)))
    if block.levels is not None:
        parts.append(_line(block.levels, width, marks))
    return Group(*parts)


def _bars(bars: Sequence[Bar], width: int, marks: _Marks) -> RenderableType:
    shown = bars[-MOST_BARS:]
    most = max(bar.value for bar in shown)
    room = max(8, min(48, width - 34))
    grid = Grid.grid(padding=(0, 1))
    for bar in shown:
        grid.add_row(
            _text(bar.label), _text(_bar(bar.value / most if most else 0.0, room, marks)), _text(bar.words)
        )
    if len(shown) < len(bars):
        grid.add_row(_text(f"the last {len(shown)} of {len(bars)}"))
    return grid


def _bar(part: float, room: int, marks: _Marks) -> str:
    whole, rest = divmod(round(part * room * len(marks.parts)), len(marks.parts))
    return marks.full * whole + marks.parts[rest].strip()


def _line(levels: Levels, width: int, marks: _Marks) -> RenderableType:
    known = [value for value in levels.values if value is not None]
    if not known:
        return _text("")
    low, high = min(known), max(known)
    scale = (len(marks.heights) - 1) / (high - low) if high > low else 0.0
    line = "".join(" " if one is None else marks.heights[round((one - low) * scale)] for one in levels.values)
    room = max(8, width - len(levels.low) - len(levels.high) - 4)
    return Text.assemble(levels.low, " ", _thinned(line, room), " ", levels.high)


def _thinned(line: str, room: int) -> str:
    if len(line) <= room:
        return line
    return "".join(line[at * len(line) // room] for at in range(room))


def _text(text: str, style: str = "") -> Text:
    """Words of a block, whoever wrote them: the last door before the terminal, whatever a section let through."""
    return Text(_ACTING.sub("\ufffd", text), style=style)
