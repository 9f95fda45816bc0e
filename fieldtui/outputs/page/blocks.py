"""What a report is made of, before it is drawn: sections of blocks. HTML and terminal draw the same ones.

A section module gives a function that takes a `SessionStory` (or a `ManyStory`) and returns a `Section`, or None
if there is nothing to tell. Its place in the report is its place in the list of `report_sections`.
All text in blocks may come from outside: whoever draws them escapes it; `clean` bounds and cleans it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

from fieldtui.radio.outside_text import clean_text

if TYPE_CHECKING:
    from fieldtui.outputs.page.markup import Node
    from fieldtui.planning.draw_profile import Style

MOST_CHARACTERS = 400
"""Of one outside text in the report; a longer one ends in an ellipsis."""

Tone = Literal["plain", "caution", "warning"]


def clean(text: str | None, limit: int = MOST_CHARACTERS) -> str:
    """Outside text on one line, without what acts on a terminal or reorders what is read."""
    cleaned = clean_text(text or "", limit + 1)
    return cleaned if len(cleaned) <= limit else cleaned[: limit - 1].rstrip() + "…"


@dataclass(frozen=True, slots=True)
class Fact:
    """A value with its name, and in small type how well it is known."""

    label: str
    value: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Facts:
    """Some facts side by side; `large` for the headline."""

    facts: Sequence[Fact]
    large: bool = False


@dataclass(frozen=True, slots=True)
class Words:
    """A paragraph. A caution says how far something can be trusted, a warning that something was wrong."""

    text: str
    tone: Tone = "plain"


@dataclass(frozen=True, slots=True)
class Column:
    """A column; `numeric` ones stand to the right, `main` is what the row is about, `long` ones may be broken."""

    name: str
    numeric: bool = False
    main: bool = False
    long: bool = False


@dataclass(frozen=True, slots=True)
class Row:
    """The cells of a line of a table; `struck` was taken back, `remark` stands below the cells."""

    cells: Sequence[str]
    struck: bool = False
    remark: str = ""


@dataclass(frozen=True, slots=True)
class Table:
    """A table under its caption. `cards` lets a narrow page stack the cells of each row."""

    caption: str
    columns: Sequence[Column]
    rows: Sequence[Row]
    cards: bool = False


@dataclass(frozen=True, slots=True)
class Bar:
    """One bar of a terminal's chart."""

    label: str
    value: float
    words: str


@dataclass(frozen=True, slots=True)
class Levels:
    """A line over time for a terminal: equal steps from the left, None where nothing is known."""

    low: str
    high: str
    values: Sequence[float | None]


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing with what it shows in words; where only text can be shown, the rest stands for it."""

    title: str
    words: str
    drawing: Node
    bars: Sequence[Bar] = ()
    levels: Levels | None = None
    sketch: Callable[[int, Style], Sequence[str]] | None = None
    """Draws it with characters, so many cells wide."""
    legend: Sequence[tuple[str, str]] = ()
    """Class of the drawing and what it means."""
    half: bool = False
    """Whether two such may stand side by side."""


Block = Facts | Words | Table | Picture


@dataclass(frozen=True, slots=True)
class Section:
    """A heading and what stands under it. `key` is its anchor; `half` lets two share a wide page."""

    key: str
    title: str
    blocks: Sequence[Block] = field(default_factory=tuple)
    half: bool = False


@dataclass(frozen=True, slots=True)
class Head:
    """What stands at the top: the page's name, a line above and one below, and what must be seen first."""

    title: str
    above: str
    below: str
    seed: str
    demo: bool = False
    warning: str = ""
    warning_link: str = ""
