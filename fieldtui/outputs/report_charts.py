"""Charts over time as SVG: made by pygal, then reduced to plain shapes whose colours the page's style gives.

What pygal adds beyond shapes (a script from elsewhere, style sheets, comments, texts for pointing at) does not
come along: only elements and attributes that are listed here are copied.
"""

from __future__ import annotations

import math
import re
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from fieldtui.outputs.report_markup import Node, node

WIDE, NARROW = (900, 300), (420, 300)
"""Sizes of the two drawings of each chart; the page shows the one that can be read at its width."""

BOX_PART = 7
"""Boxes at the foot take this part of the height."""

_TAGS = frozenset({"g", "path", "line", "rect", "circle", "text", "tspan"})
_ATTRIBUTES = frozenset(
    {
        "class",
        "d",
        "x",
        "y",
        "x1",
        "x2",
        "y1",
        "y2",
        "width",
        "height",
        "r",
        "cx",
        "cy",
        "rx",
        "ry",
        "transform",
    }
)

_LONG_NUMBER = re.compile(r"-?[0-9]+\.[0-9]{2,}")

Size = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Lines:
    """Lines over a horizontal axis: points of each series, None breaks a line; labels of the axis with their place."""

    series: Sequence[tuple[str, Sequence[tuple[float, float] | None]]]
    ticks: Sequence[tuple[float, str]]
    low: float
    high: float
    value_words: Callable[[float], str]
    dots: bool = False
    boxes: Sequence[tuple[float, float]] = ()
    """Outline of what is filled at the foot of the chart, from 0 to 1."""


def both_sizes(draw: Callable[[Size], Node], title: str, words: str) -> Node:
    """The wide and the narrow drawing; each with its text alternative, since only one is ever there."""
    pictures = [
        _described(draw(size), size, title, words, kind)
        for size, kind in ((WIDE, "wide-only"), (NARROW, "narrow-only"))
    ]
    return node("div", *pictures, class_="both")


def described(drawing: Node, size: Size, title: str, words: str) -> Node:
    """An SVG picture that says what it shows."""
    return _described(drawing, size, title, words, None)


def _described(drawing: Node, size: Size, title: str, words: str, kind: str | None) -> Node:
    width, height = size
    return node(
        "svg", node("title", title), node("desc", words), drawing,
        xmlns="http://www.w3.org/2000/svg", viewBox=f"0 0 {width} {height}", role="img",
        aria_label=f"{title}. {words}", class_=kind,
    )  # fmt: skip


def bars(labels: Sequence[str], values: Sequence[int], size: Size) -> Node:
    """Counts as bars; not every label is written where many stand side by side."""
    chart = _pygal().Bar(**_settings(size), zero=0, range=(0, max(4, *values)), spacing=0, margin_right=18)
    step = max(1, math.ceil(len(labels) / (size[0] / 75)))
    chart.x_labels = [label if at % step == 0 else "" for at, label in enumerate(labels)]
    chart.y_labels = whole_ticks(max(4, *values))
    chart.value_formatter = lambda value: f"{value:g}"
    chart.add("", list(values))
    return adopt(chart.render_tree())


def lines(shown: Lines, size: Size) -> Node:
    """Lines, with filled boxes at the foot if there are any."""
    chart = _pygal().XY(
        **_settings(size), show_dots=shown.dots, dots_size=4, allow_interruptions=True,
        range=(shown.low, shown.high), zero=shown.low, margin_right=30,
    )  # fmt: skip
    step = max(1, math.ceil(len(shown.ticks) / (size[0] / 75)))
    words = {round(at, 3): label for number, (at, label) in enumerate(shown.ticks) if number % step == 0}
    chart.x_labels = sorted(words)
    chart.x_value_formatter = lambda at: words.get(round(at, 3), "")
    chart.y_labels = even_ticks(shown.low + (shown.high - shown.low) / BOX_PART, shown.high, 5)
    chart.value_formatter = shown.value_words
    for name, points in shown.series:
        chart.add(name, [point or (None, None) for point in points])
    if shown.boxes:
        height = (shown.high - shown.low) / BOX_PART
        chart.add("", [(at, shown.low + share * height) for at, share in shown.boxes], fill=True)
    return adopt(chart.render_tree())


def _pygal() -> Any:
    """The library, without the hook for maps that it leaves in the import system of the whole program.

    The hook is of a kind that Python 3.12 took away; before that every later import would warn of it.
    """
    import pygal  # type: ignore[import-untyped]  # noqa: PLC0415  (slow, and only reports draw)

    sys.meta_path[:] = [finder for finder in sys.meta_path if type(finder).__name__ != "PluginImportFixer"]
    return pygal


def _settings(size: Size) -> dict[str, Any]:
    from pygal.style import Style  # type: ignore[import-untyped]  # noqa: PLC0415

    return {
        "width": size[0], "height": size[1], "js": [], "css": [], "show_legend": False, "margin": 8, "strict": True,
        "show_minor_x_labels": True, "truncate_label": -1, "style": Style(label_font_size=14, major_label_font_size=14),
    }  # fmt: skip


def adopt(tree: Any) -> Node:
    """The shapes of a drawing, and nothing else of it."""
    group = Node("g", {"class": "chart"})
    for child in tree:
        group.children += _adopted(child)
    return group


def _adopted(element: Any) -> list[Node | str]:
    tag = element.tag.rpartition("}")[2] if isinstance(element.tag, str) else ""
    if tag not in _TAGS:
        return []
    attributes = {
        name: _rounded(value) for name, value in element.attrib.items() if name in _ATTRIBUTES and value
    }
    copy = Node(tag, attributes)
    if element.text and tag in ("text", "tspan"):
        copy.children.append(element.text)
    for child in element:
        copy.children += _adopted(child)
    return [copy] if tag != "g" or copy.children else []


def _rounded(value: str) -> str:
    """A tenth of a pixel is enough; pygal writes six digits or more."""
    return _LONG_NUMBER.sub(lambda found: f"{float(found[0]):.1f}", value)


def even_ticks(low: float, high: float, about: int) -> list[float]:
    """Round numbers between two values, `about` so many."""
    if not high > low:
        return [low]
    step = nice_step((high - low) / about)
    first = math.ceil(low / step - 1e-9)
    return [round(at * step, 6) for at in range(first, math.floor(high / step + 1e-9) + 1)]


def whole_ticks(high: int) -> list[int]:
    """Whole numbers from zero, few."""
    step = max(1, round(nice_step(high / 4)))
    return list(range(0, high + 1, step))


def nice_step(least: float) -> float:
    """The smallest of 1, 2, 5 times a power of ten that is no less."""
    power: float = 10 ** math.floor(math.log10(least))
    return next(power * factor for factor in (1, 2, 5, 10) if power * factor >= least * (1 - 1e-9))
