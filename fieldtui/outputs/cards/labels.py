"""Address labels on sheets: as large as the label allows, and never a stroke outside it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec import Struct

from fieldtui.outputs.cards.geometry import Box, CardSheet, LabelSheet
from fieldtui.outputs.cards.pen import Pen, line_height_mm
from fieldtui.outputs.cards.typeface import POINTS_PER_MM

LARGEST_PT = 12.0
UNBROKEN_PT = 8.5
"""Down to this a line stays in one piece."""
BROKEN_PT = 10.0
"""From this on a long line is rather broken than made still smaller."""
FLOOR_PT = 6.0
STEP_PT = 0.5
ASCENT, DESCENT = 0.93, 0.24
"""Of the size, above and below the baseline: the measures of the bundled font."""


class Label(Struct, frozen=True):
    """What stands on one label; `whose` is the station that it goes to."""

    whose: str
    lines: tuple[str, ...]


def draw_labels(
    pen: Pen, labels: Sequence[Label], sheet: LabelSheet, *, skip: int, crop_marks: bool
) -> Iterator[int]:
    """Draw labels one after the other, on as many sheets as it takes; gives how many are drawn.

    The first `skip` places of the first sheet were used before and stay empty.
    """
    page = CardSheet(
        sheet.paper.width_mm, sheet.paper.height_mm, tuple(sheet.box(index) for index in range(sheet.labels))
    )
    for number, label in enumerate(labels):
        place = (number + skip) % sheet.labels
        if number == 0 or place == 0:
            pen.add_page(page.width_mm, page.height_mm)
            if crop_marks:
                pen.crop_marks(page.boxes, page)
        draw_label(pen, page.boxes[place].inside(sheet.inset_mm), label)
        yield number + 1


def draw_label(pen: Pen, room: Box, label: Label) -> None:
    """Draw an address into the room that a label has for it: all lines in one size, in the middle of the height."""
    size, lines = _fitted(pen, room, label)
    spacing = line_height_mm(size)
    height = (len(lines) - 1) * spacing + (ASCENT + DESCENT) * size / POINTS_PER_MM
    baseline = room.top + (room.height - height) / 2 + ASCENT * size / POINTS_PER_MM
    for number, line in enumerate(lines):
        pen.write(
            line, room.left, baseline + number * spacing, room.width, size, floor_pt=size, whose=label.whose
        )


def _fitted(pen: Pen, room: Box, label: Label) -> tuple[float, Sequence[str]]:
    """The largest size, with long lines broken if that spares the eyes; at the floor the rest is cut and told."""
    for size in _sizes(LARGEST_PT, UNBROKEN_PT):
        wide_enough = all(pen.face.width(line, size) <= room.width for line in label.lines)
        if wide_enough and len(label.lines) <= _lines_that_fit(room.height, size):
            return size, label.lines
    for size in _sizes(BROKEN_PT, FLOOR_PT):
        most = _lines_that_fit(room.height, size)
        wrapped = [pen.wrap(line, room.width, size, most) for line in label.lines]
        lines = [line for broken, _ in wrapped for line in broken]
        if len(lines) <= most and not any(cut for _, cut in wrapped):
            return size, lines
    most = _lines_that_fit(room.height, FLOOR_PT)
    if most < len(label.lines):
        pen.notice(f"{label.whose}: the label has room for {most} of {len(label.lines)} lines of the address")
    return FLOOR_PT, label.lines[:most]


def _sizes(largest_pt: float, smallest_pt: float) -> Iterator[float]:
    steps = round((largest_pt - smallest_pt) / STEP_PT)
    return (largest_pt - step * STEP_PT for step in range(steps + 1))


def _lines_that_fit(height_mm: float, size_pt: float) -> int:
    first = (ASCENT + DESCENT) * size_pt / POINTS_PER_MM
    return max(1, 1 + int((height_mm - first) // line_height_mm(size_pt)))
