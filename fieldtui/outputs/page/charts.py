"""Charts as SVG: bars and lines over a horizontal axis, rows of bars. The page's style gives the colours."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from fieldtui.outputs.page.axes import even_ticks
from fieldtui.outputs.page.blocks import Bar
from fieldtui.outputs.page.markup import Node, node

WIDE, NARROW = (900, 300), (420, 300)
"""Sizes of the two drawings of each chart; the page shows the one that can be read at its width."""

BOX_PART = 7
"""Boxes at the foot take this part of the height."""
LEAST_MOST = 4
"""An axis of counts reaches at least so far: a single contact does not fill the drawing."""

_TOP, _RIGHT, _FOOT = 14, 24, 30
_CHARACTER, _LABEL = 7.4, 75
"""Width of a character at the size of the style, and of a label of the horizontal axis with the room around it."""

Size = tuple[int, int]
Ticks = Sequence[tuple[float, str]]


@dataclass(frozen=True, slots=True)
class Lines:
    """Lines over a horizontal axis: points of each series, None breaks a line; labels of the axis with their place."""

    series: Sequence[tuple[str, Sequence[tuple[float, float] | None]]]
    ticks: Ticks
    low: float
    high: float
    value_words: Callable[[float], str]
    dots: bool = False
    boxes: Sequence[tuple[float, float]] = ()
    """Outline of what is filled at the foot of the chart, from 0 to 1."""


@dataclass(frozen=True, slots=True)
class _Frame:
    """Where values stand in a drawing: `across` from left to right, `up` from the foot to the top."""

    size: Size
    left: float
    across: tuple[float, float]
    up: tuple[float, float]

    def x(self, at: float) -> float:
        first, last = self.across
        return self.left + (at - first) / (last - first) * (self.size[0] - _RIGHT - self.left)

    def y(self, value: float) -> float:
        low, high = self.up
        foot = self.size[1] - _FOOT
        return foot - (value - low) / (high - low) * (foot - _TOP)

    def path(self, points: Sequence[tuple[float, float]]) -> str:
        """The points joined; a single one is a line of no length, which a round end makes a dot."""
        joined = " ".join(f"{self.x(at):.1f} {self.y(value):.1f}" for at, value in (points[0], *points))
        return f"M{joined}"


def both_sizes(draw: Callable[[Size], Node], title: str, words: str) -> Node:
    """The wide and the narrow drawing; each with its text alternative, since only one is ever there."""
    pictures = [
        described(draw(size), size, title, words, kind)
        for size, kind in ((WIDE, "wide-only"), (NARROW, "narrow-only"))
    ]
    return node("div", *pictures, class_="both")


def described(drawing: Node, size: Size, title: str, words: str, kind: str | None = None) -> Node:
    """An SVG picture that says what it shows."""
    width, height = size
    return node(
        "svg", node("title", title), node("desc", words), drawing,
        xmlns="http://www.w3.org/2000/svg", viewBox=f"0 0 {width} {height}", role="img",
        aria_label=f"{title}. {words}", class_=kind,
    )  # fmt: skip


def bars(labels: Sequence[str], values: Sequence[int], size: Size) -> Node:
    """Counts as bars; not every label is written where many stand side by side."""
    most = max(LEAST_MOST, *values)
    rows = [(value, f"{value:g}") for value in even_ticks(0, most, 4)]
    frame = _frame(size, (0, len(labels)), (0, most), rows)
    drawn = [
        node(
            "rect", x=frame.x(at + 0.1), y=frame.y(value), width=frame.x(at + 0.9) - frame.x(at + 0.1),
            height=frame.y(0) - frame.y(value), class_="bar",
        )
        for at, value in enumerate(values) if value
    ]  # fmt: skip
    ticks = [(at + 0.5, label) for at, label in enumerate(labels)]
    return node("g", *_axes(frame, rows, ticks), *drawn, class_="chart")


def lines(shown: Lines, size: Size) -> Node:
    """Lines, with filled boxes at the foot if there are any."""
    box_height = (shown.high - shown.low) / BOX_PART
    rows = [(value, shown.value_words(value)) for value in even_ticks(shown.low + box_height, shown.high, 5)]
    places = [point[0] for _, points in shown.series for point in points if point]
    places += [at for at, _ in (*shown.boxes, *shown.ticks)]
    first, last = min(places), max(places)
    frame = _frame(size, (first, last if last > first else first + 1), (shown.low, shown.high), rows)
    chart = node("g", *_axes(frame, rows, shown.ticks), class_="chart")
    if shown.boxes:
        outline = [(at, shown.low + share * box_height) for at, share in shown.boxes]
        chart.add(node("path", d=frame.path(outline), class_="box"))
    for _, points in shown.series:
        chart.add(node("path", d="".join(map(frame.path, _runs(points))), class_="line"))
        if shown.dots:
            chart.add(
                *(
                    node("circle", cx=frame.x(at), cy=frame.y(value), r=4)
                    for at, value in filter(None, points)
                )
            )
    return chart


def _frame(size: Size, across: tuple[float, float], up: tuple[float, float], rows: Ticks) -> _Frame:
    return _Frame(size, 14 + _CHARACTER * max(len(words) for _, words in rows), across, up)


def _axes(frame: _Frame, rows: Ticks, ticks: Ticks) -> list[Node]:
    """A line for each row with its value, the base, and as many labels below as there is room for."""
    right, foot = frame.size[0] - _RIGHT, frame.size[1] - _FOOT
    drawn = [node("path", d=f"M{frame.left:.1f} {foot}H{right}", class_="base")]
    for value, words in rows:
        y = frame.y(value)
        drawn.append(node("path", d=f"M{frame.left:.1f} {y:.1f}H{right}", class_="guide"))
        drawn.append(node("text", words, x=frame.left - 7, y=y + 4.5, class_="value"))
    step = max(1, math.ceil(len(ticks) / (frame.size[0] / _LABEL)))
    return drawn + [node("text", words, x=frame.x(at), y=foot + 20) for at, words in ticks[::step]]


def _runs(points: Sequence[tuple[float, float] | None]) -> list[list[tuple[float, float]]]:
    """The stretches between breaks."""
    runs: list[list[tuple[float, float]]] = [[]]
    for point in points:
        if point is not None:
            runs[-1].append(point)
        elif runs[-1]:
            runs.append([])
    return [run for run in runs if run]


def bar_rows(rows: Sequence[Bar], size: Size) -> Node:
    """A bar for each row, its name before it and its value in words behind it."""
    step = size[1] / len(rows)
    left = 8 + _CHARACTER * max(len(row.label) for row in rows)
    room = size[0] - left - 16 - _CHARACTER * max(len(row.words) for row in rows)
    most = max(row.value for row in rows) or 1.0
    chart = node("g", class_="chart")
    for number, row in enumerate(rows):
        top, length = number * step, room * row.value / most
        chart.add(
            node("text", row.label, x=left - 7, y=top + step / 2 + 4.5, class_="value"),
            node("rect", x=left, y=top + 2, width=length, height=step - 4, class_="bar"),
            node("text", row.words, x=left + length + 7, y=top + step / 2 + 4.5, class_="behind"),
        )
    return chart
