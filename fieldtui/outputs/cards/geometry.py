"""Papers, sheets of labels and cards on paper, in millimetres from the upper left corner. Pure.

A sheet of labels is described by its measures alone; the presets are named by them (common practice, no
source: measure the sheet that you bought).
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from msgspec import Struct
from msgspec.structs import replace

MM_PER_INCH = 25.4

CARD_WIDTH_MM, CARD_HEIGHT_MM = 140.0, 90.0
"""The customary size of a card (common practice, no source)."""

SLACK_MM = 0.05
"""Sums of rounded measures may pass the paper's edge by this much."""
LEAST_LABEL_MM = 10.0
MOST_LABELS = 200
CARD_GAP_TO_EDGE_MM = 4.0
"""Most printers leave such an edge blank (common practice, no source)."""


class GeometryError(ValueError):
    """One line: which measure does not fit, and what to change."""


class Box(Struct, frozen=True):
    """A rectangle in millimetres, from the left and the top of the paper."""

    left: float
    top: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """Its right edge."""
        return self.left + self.width

    @property
    def bottom(self) -> float:
        """Its lower edge."""
        return self.top + self.height

    def inside(self, across: float, down: float | None = None) -> Box:
        """The same rectangle without an edge all around."""
        down = across if down is None else down
        return Box(self.left + across, self.top + down, self.width - 2 * across, self.height - 2 * down)


class Paper(Struct, frozen=True):
    """A sheet, upright."""

    name: str
    width_mm: float
    height_mm: float


PAPERS = {
    # ISO 216 and ANSI/ASME Y14.1 (8.5 by 11 inches).
    "a4": Paper("a4", 210.0, 297.0),
    "letter": Paper("letter", 8.5 * MM_PER_INCH, 11 * MM_PER_INCH),
}


class LabelSheet(Struct, frozen=True):
    """Equal labels in rows and columns. Without a margin given, they stand in the middle of the paper.

    `inset_mm` is kept free of print within each label.
    """

    paper: Paper
    columns: int
    rows: int
    label_width_mm: float
    label_height_mm: float
    margin_left_mm: float | None = None
    margin_top_mm: float | None = None
    gap_across_mm: float = 0.0
    gap_down_mm: float = 0.0
    inset_mm: float = 3.0

    @property
    def labels(self) -> int:
        """How many there are on a sheet."""
        return self.columns * self.rows

    @property
    def _width_mm(self) -> float:
        return self.columns * self.label_width_mm + (self.columns - 1) * self.gap_across_mm

    @property
    def _height_mm(self) -> float:
        return self.rows * self.label_height_mm + (self.rows - 1) * self.gap_down_mm

    @property
    def left_mm(self) -> float:
        """Where the first column begins."""
        given = self.margin_left_mm
        return (self.paper.width_mm - self._width_mm) / 2 if given is None else given

    @property
    def top_mm(self) -> float:
        """Where the first row begins."""
        given = self.margin_top_mm
        return (self.paper.height_mm - self._height_mm) / 2 if given is None else given

    def box(self, index: int) -> Box:
        """The label at a place on the sheet, counted from 0 along the rows."""
        row, column = divmod(index, self.columns)
        return Box(
            self.left_mm + column * (self.label_width_mm + self.gap_across_mm),
            self.top_mm + row * (self.label_height_mm + self.gap_down_mm),
            self.label_width_mm,
            self.label_height_mm,
        )

    def checked(self) -> LabelSheet:
        """The same sheet, if all labels lie on the paper.

        Raises:
            GeometryError: they do not, or a measure means nothing.
        """
        for name, value in self._measures():
            if not math.isfinite(value) or value < 0:
                raise GeometryError(f"{name} {value:g} mm means nothing: give zero or more")
        if self.columns < 1 or self.rows < 1 or self.labels > MOST_LABELS:
            raise GeometryError(
                f"{self.columns} by {self.rows} labels: give 1 to {MOST_LABELS} columns times rows"
            )
        if min(self.label_width_mm, self.label_height_mm) - 2 * self.inset_mm < LEAST_LABEL_MM / 2:
            raise GeometryError(
                f"labels of {self.label_width_mm:g} x {self.label_height_mm:g} mm with {self.inset_mm:g} mm inset "
                "leave no room to print: give larger ones or a smaller inset"
            )
        self._check_room("across", "columns", self.left_mm, self._width_mm, self.paper.width_mm)
        self._check_room("down", "rows", self.top_mm, self._height_mm, self.paper.height_mm)
        return self

    def _measures(self) -> Iterator[tuple[str, float]]:
        yield "label width", self.label_width_mm
        yield "label height", self.label_height_mm
        yield "gap across", self.gap_across_mm
        yield "gap down", self.gap_down_mm
        yield "inset", self.inset_mm
        yield "left margin", self.margin_left_mm or 0.0
        yield "top margin", self.margin_top_mm or 0.0

    def _check_room(self, way: str, what: str, start: float, length: float, paper: float) -> None:
        if start < -SLACK_MM or start + length > paper + SLACK_MM:
            ends = max(start, 0.0) + length
            raise GeometryError(
                f"the labels end {ends:.1f} mm {way}, the {self.paper.name} paper at {paper:.1f}: "
                f"take fewer {what}, or smaller labels, gaps or margins"
            )


def _sheet(paper: str, columns: int, rows: int, width: float, height: float, **more: float) -> LabelSheet:
    return LabelSheet(PAPERS[paper], columns, rows, width, height, **more)


PRESETS: dict[str, LabelSheet] = {
    # Columns x rows; common practice, no source.
    "a4-2x7": _sheet("a4", 2, 7, 99.1, 38.1, gap_across_mm=2.5, margin_left_mm=4.65, margin_top_mm=15.15),
    "a4-2x8": _sheet("a4", 2, 8, 105.0, 37.0, margin_top_mm=0.5, inset_mm=5.0),
    "a4-3x7": _sheet("a4", 3, 7, 63.5, 38.1, gap_across_mm=2.5, margin_left_mm=7.25, margin_top_mm=15.15),
    "a4-3x8": _sheet("a4", 3, 8, 70.0, 37.0, margin_top_mm=0.5, inset_mm=5.0),
    "letter-2x5": _sheet(
        "letter", 2, 5, 101.6, 50.8, gap_across_mm=4.76, margin_left_mm=3.97, margin_top_mm=12.7
    ),
    "letter-2x10": _sheet(
        "letter", 2, 10, 101.6, 25.4, gap_across_mm=4.76, margin_left_mm=3.97, margin_top_mm=12.7
    ),
    "letter-3x10": _sheet(
        "letter", 3, 10, 66.675, 25.4, gap_across_mm=3.175, margin_left_mm=4.7625, margin_top_mm=12.7
    ),
}


def label_sheet(preset: str | None, paper: str | None, measures: dict[str, float | int]) -> LabelSheet:
    """The sheet that a preset and single measures describe; a measure counts more than the preset.

    Raises:
        GeometryError: there is no such preset, a measure is missing, or the labels do not fit the paper.
    """
    if preset is not None:
        known = PRESETS.get(preset.lower())
        if known is None:
            raise GeometryError(
                f"no label sheet is called {preset!a:.30}: take {', '.join(PRESETS)}, or measures"
            )
        if paper is not None and paper != known.paper.name:
            raise GeometryError(f"{preset} is on {known.paper.name} paper, not {paper}: leave --paper out")
        return replace(known, **measures).checked()
    needed = ("columns", "rows", "label_width_mm", "label_height_mm")
    if missing := [name for name in needed if name not in measures]:
        options = ", ".join(f"--{name.replace('_', '-')}" for name in missing)
        raise GeometryError(f"a sheet of labels needs {options} too, or --labels with a preset")
    sheet = LabelSheet(PAPERS[paper or "a4"], **measures)  # type: ignore[arg-type]
    return sheet.checked()


class CardSheet(Struct, frozen=True):
    """A page that carries cards: its size, and where the cards lie."""

    width_mm: float
    height_mm: float
    boxes: tuple[Box, ...]


def card_sheet(paper: Paper | None, *, crop_marks: bool) -> CardSheet:
    """As many cards as fit on the paper, upright or lying, in the middle; without paper one, on its own page.

    The cards touch, so that one cut parts two.
    """
    if paper is None:
        edge = CROP_EDGE_MM if crop_marks else 0.0
        box = Box(edge, edge, CARD_WIDTH_MM, CARD_HEIGHT_MM)
        return CardSheet(CARD_WIDTH_MM + 2 * edge, CARD_HEIGHT_MM + 2 * edge, (box,))
    upright, lying = (paper.width_mm, paper.height_mm), (paper.height_mm, paper.width_mm)
    width, height = max(
        upright, lying, key=lambda size: _fitting(size[0], CARD_WIDTH_MM) * _fitting(size[1], CARD_HEIGHT_MM)
    )
    columns, rows = _fitting(width, CARD_WIDTH_MM), _fitting(height, CARD_HEIGHT_MM)
    left, top = (width - columns * CARD_WIDTH_MM) / 2, (height - rows * CARD_HEIGHT_MM) / 2
    boxes = (
        Box(left + column * CARD_WIDTH_MM, top + row * CARD_HEIGHT_MM, CARD_WIDTH_MM, CARD_HEIGHT_MM)
        for row in range(rows)
        for column in range(columns)
    )
    return CardSheet(width, height, tuple(boxes))


def _fitting(paper_mm: float, card_mm: float) -> int:
    return int((paper_mm - 2 * CARD_GAP_TO_EDGE_MM) // card_mm)


CROP_EDGE_MM = 8.0
"""Around a single card that is to be cut."""
CROP_LENGTH_MM = 4.0
CROP_GAP_MM = 1.0
"""Between a mark and the corner that it names, so that nothing of it stays on what is cut out."""

Line = tuple[float, float, float, float]
"""From and to: x, y, x, y."""


def crop_marks(
    box: Box, page_width_mm: float, page_height_mm: float, others: tuple[Box, ...] = ()
) -> list[Line]:
    """Short lines that point at the corners of a box from outside, where they lie on no other box and on paper."""
    lines: list[Line] = []
    for x, outward in ((box.left, -1), (box.right, 1)):
        for y in (box.top, box.bottom):
            start = x + outward * CROP_GAP_MM
            end = min(max(start + outward * CROP_LENGTH_MM, 0.0), page_width_mm)
            lines.append((start, y, end, y))
    for y, outward in ((box.top, -1), (box.bottom, 1)):
        for x in (box.left, box.right):
            start = y + outward * CROP_GAP_MM
            end = min(max(start + outward * CROP_LENGTH_MM, 0.0), page_height_mm)
            lines.append((x, start, x, end))
    return [
        line
        for line in lines
        if _is_on_paper(line, page_width_mm, page_height_mm) and not _crosses(line, others)
    ]


def _is_on_paper(line: Line, width: float, height: float) -> bool:
    x1, y1, x2, y2 = line
    inside = all(0 <= x <= width for x in (x1, x2)) and all(0 <= y <= height for y in (y1, y2))
    return inside and math.hypot(x2 - x1, y2 - y1) > 0.2


def _crosses(line: Line, boxes: tuple[Box, ...]) -> bool:
    """Whether a line touches another box; one that only runs along its edge would be cut through as well."""
    x1, y1, x2, y2 = line
    left, right, top, bottom = min(x1, x2), max(x1, x2), min(y1, y2), max(y1, y2)
    return any(
        left <= box.right + SLACK_MM
        and right >= box.left - SLACK_MM
        and top <= box.bottom + SLACK_MM
        and bottom >= box.top - SLACK_MM
        for box in boxes
    )
