"""Sections as lines for a terminal: tables, bars of block characters, a line of volts. No line is wider than asked."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, Literal, NamedTuple

from fieldtui.outputs.page.blocks import Bar, Block, Facts, Head, Levels, Picture, Section, Table, Words

if TYPE_CHECKING:
    from fieldtui.planning.draw_profile import Style

MOST_BARS = 40
LEAST_WIDTH = 30
LEAST_LONG = 20
"""Of a column whose words may be broken; with less room each row becomes a few lines."""
_GAP = "  "
_BELOW = "    "
_MOST_VALUE = 24
"""Of a fact's value, for the notes of all facts to stand below each other."""

Weight = Literal["", "bold", "strike"]
Line = tuple[str, Weight]
"""A line of text, and how it may be set off where the terminal can: it says the same without."""


class _Marks(NamedTuple):
    """What bars and lines are drawn with; `parts` of a cell, `heights` from the lowest."""

    full: str
    parts: Sequence[str]
    heights: Sequence[str]
    rule: str


_MARKS = {
    "braille": _Marks("█", " ▏▎▍▌▋▊▉", "▁▂▃▄▅▆▇█", "─"),
    "blocks": _Marks("█", " ▌", "_▄█", "─"),
    "ascii": _Marks("#", " ", "_.-~=+*#", "-"),
}

# Controls of both sets, separators and orders of direction: what a terminal obeys and a reader does not see.
_ACTING = re.compile("[\x00-\x1f\x7f-\x9f\u200e\u200f\u2028-\u202e\u2066-\u2069]")


def page_lines(
    head: Head, sections: Sequence[Section], width: int, style: Style = "braille"
) -> Iterator[Line]:
    """The whole page; `width` in cells of the terminal, at least 30."""
    width = max(LEAST_WIDTH, width)
    if head.demo:
        yield from _set(_wrapped("DEMO: places, people and contacts are invented", width), "bold")
    yield from _set(_wrapped(head.title, width), "bold")
    yield from _set(_wrapped(", ".join(filter(None, (head.above, head.below))), width))
    if head.warning:
        yield from _set(_wrapped(f"! {head.warning}", width), "bold")
    for section in sections:
        rule = _MARKS[style].rule * (width - _cells(section.title) - 1)
        yield "", ""
        yield from _set(_wrapped(f"{section.title} {rule}", width)[:1], "bold")
        yield from block_lines(section.blocks, width, style)


def block_lines(blocks: Iterable[Block], width: int, style: Style = "braille") -> Iterator[Line]:
    """Blocks without heading, one below the other; whoever wrote their words, nothing in them acts on the terminal."""
    for block in blocks:
        match block:
            case Words(text=text, tone=tone):
                mark = {"plain": "", "caution": "~ ", "warning": "! "}[tone]
                yield from _set(_wrapped(text, width, mark, len(mark)), "bold" if tone == "warning" else "")
            case Facts():
                yield from _set(_facts(block, width))
            case Table():
                indent = _GAP if block.caption else ""
                yield from _set(_wrapped(block.caption, width) if block.caption else [])
                for line, weight in _table(block, width - len(indent), _MARKS[style].rule):
                    yield indent + line, weight
            case Picture():
                yield from _picture(block, width, style)


def ansi(line: Line) -> str:
    """The line with what sets it off (ECMA-48, SGR 1 and 9)."""
    text, weight = line
    return f"\x1b[{1 if weight == 'bold' else 9}m{text}\x1b[m" if weight else text


def _set(lines: Iterable[str], weight: Weight = "") -> Iterator[Line]:
    """The last door before the terminal, whatever a section let through."""
    return ((_inert(line).rstrip(), weight) for line in lines)


def _facts(block: Facts, width: int) -> Iterator[str]:
    label = max((_cells(fact.label) for fact in block.facts), default=0)
    value = max((size for fact in block.facts if (size := _cells(fact.value)) <= _MOST_VALUE), default=0)
    hang = label + value + 2 * len(_GAP)
    for fact in block.facts:
        begin = _padded(fact.label, label) + _GAP
        if _cells(fact.value) <= value and hang + LEAST_LONG <= width:
            yield from _wrapped(fact.note, width, begin + _padded(fact.value, value) + _GAP, hang)
        else:
            yield from _wrapped(", ".join(filter(None, (fact.value, fact.note))), width, begin, len(begin))


def _table(block: Table, width: int, rule: str) -> Iterator[Line]:
    """One line a row where that fits, words of long columns broken; else the short cells, and the long ones below."""
    # A column that holds nothing takes no room.
    every = [at for at in range(len(block.columns)) if any(row.cells[at] for row in block.rows)]
    if not every:
        return
    long = [at for at in every if block.columns[at].long]
    short = [at for at in every if at not in long]
    names = [column.name for column in block.columns]
    widest = [max(map(_cells, column)) for column in zip(*(row.cells for row in block.rows), strict=True)]
    sizes = [max(size, _cells(name)) for size, name in zip(widest, names, strict=True)]
    room = width - _across(sizes, short) - len(_GAP) * len(long)
    for number, at in enumerate(sorted(long, key=sizes.__getitem__)):
        sizes[at] = min(sizes[at], max(LEAST_LONG, room // (len(long) - number)))
        room -= sizes[at]
    stacked = room < 0
    shown = short if stacked else every
    if narrow := stacked and _across(sizes, short) > width:
        sizes = widest
    in_words = narrow and _across(sizes, short) > width
    if any(names) and not narrow:
        yield from _set(_row(block, names, sizes, shown))
        if not stacked:
            yield rule * _across(sizes, shown), ""
    for row in block.rows:
        weight: Weight = "strike" if row.struck else ""
        lines = [_in_words(block, row.cells, short)] if in_words else _row(block, row.cells, sizes, shown)
        for line in lines:
            yield from _set(_wrapped_as_is(line, width), weight)
        below = [_GAP.join(row.cells[at] for at in long if stacked and row.cells[at]), row.remark]
        for text in filter(None, below):
            yield from _set(_wrapped_as_is(_BELOW + text, width))


def _in_words(block: Table, cells: Sequence[str], shown: Sequence[int]) -> str:
    """Each cell with the name of its column, where the columns do not fit side by side."""
    named = [(block.columns[at], cells[at]) for at in shown if cells[at]]
    return ", ".join(cell if column.main else f"{column.name} {cell}".strip() for column, cell in named)


def _across(sizes: Sequence[int], shown: Sequence[int]) -> int:
    return sum(sizes[at] for at in shown) + len(_GAP) * (len(shown) - 1)


def _row(block: Table, cells: Sequence[str], sizes: Sequence[int], shown: Sequence[int]) -> Iterator[str]:
    columns = [_wrapped(cells[at], sizes[at]) for at in shown]
    for number in range(max(map(len, columns), default=0)):
        parts = [column[number] if number < len(column) else "" for column in columns]
        yield _GAP.join(
            _padded(part, sizes[at], right=block.columns[at].numeric)
            for part, at in zip(parts, shown, strict=True)
        )


def _picture(block: Picture, width: int, style: Style) -> Iterator[Line]:
    yield from _set(_wrapped(block.words, width, f"{block.title}{_GAP}", 0), "")
    if block.sketch is not None:
        yield from _set(block.sketch(width, style))
    if block.bars:
        yield from _set(_bars(block.bars, width, _MARKS[style]))
    if block.levels is not None:
        yield from _set(_line(block.levels, width, _MARKS[style]))


def _bars(bars: Sequence[Bar], width: int, marks: _Marks) -> Iterator[str]:
    shown = bars[-MOST_BARS:]
    most = max(bar.value for bar in shown)
    label, words = max(_cells(bar.label) for bar in shown), max(_cells(bar.words) for bar in shown)
    room = max(8, min(48, width - label - words - 3 * len(_GAP)))
    for bar in shown:
        drawn = _bar(bar.value / most if most else 0.0, room, marks)
        yield f"{_GAP}{_padded(bar.label, label)} {_padded(drawn, room)} {bar.words}"
    if len(shown) < len(bars):
        yield f"{_GAP}the last {len(shown)} of {len(bars)}"


def _bar(part: float, room: int, marks: _Marks) -> str:
    whole, rest = divmod(round(part * room * len(marks.parts)), len(marks.parts))
    return marks.full * whole + marks.parts[rest].strip()


def _line(levels: Levels, width: int, marks: _Marks) -> list[str]:
    known = [value for value in levels.values if value is not None]
    if not known:
        return []
    low, high = min(known), max(known)
    scale = (len(marks.heights) - 1) / (high - low) if high > low else 0.0
    line = "".join(" " if one is None else marks.heights[round((one - low) * scale)] for one in levels.values)
    room = max(8, width - len(levels.low) - len(levels.high) - 2)
    return [f"{levels.low} {_thinned(line, room)} {levels.high}"]


def _thinned(line: str, room: int) -> str:
    if len(line) <= room:
        return line
    return "".join(line[at * len(line) // room] for at in range(room))


def _wrapped(text: str, width: int, begin: str = "", hang: int = 0) -> list[str]:
    """Words on lines; the first line begins with `begin`, the others with `hang` blanks. A longer word is broken."""
    lines, fresh = [begin], True
    for word in text.split():
        for piece in _pieces(word, max(1, width - hang)):
            if _cells(lines[-1]) + (not fresh) + _cells(piece) > width and lines[-1].strip():
                lines.append(" " * hang)
                fresh = True
            lines[-1] += piece if fresh else f" {piece}"
            fresh = False
    return lines


def _wrapped_as_is(line: str, width: int) -> list[str]:
    """A line of cells keeps its blanks while it fits."""
    return (
        [line]
        if _cells(line.rstrip()) <= width
        else _wrapped(line, width, _BELOW * line.startswith(_BELOW), len(_BELOW))
    )


def _pieces(word: str, width: int) -> list[str]:
    if _cells(word) <= width:
        return [word]
    if word.isascii():
        return [word[at : at + width] for at in range(0, len(word), width)]
    from rich.cells import chop_cells  # noqa: PLC0415  (only for characters that may be two cells wide)

    return chop_cells(_inert(word), max(2, width))


def _padded(text: str, cells: int, *, right: bool = False) -> str:
    blanks = " " * (cells - _cells(text))
    return blanks + text if right else text + blanks


def _cells(text: str) -> int:
    if text.isascii():
        return len(text)
    from rich.cells import cell_len  # noqa: PLC0415

    return cell_len(_inert(text))


def _inert(text: str) -> str:
    return _ACTING.sub("\ufffd", text)
