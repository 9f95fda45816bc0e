"""Who is where: this station in the middle, north up, rings of distance, each station by bearing and distance. Pure."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from msgspec import Struct

from fieldtui.radio.units import METRES_PER_MILE
from fieldtui.screens.draw.canvas import CELL_HEIGHT_TO_WIDTH, Canvas
from fieldtui.screens.draw.glyphs import Glyphs

LEAST_WIDTH, LEAST_HEIGHT = 15, 7
"""Of a picture that still says something, in cells."""
_RINGS = 2
_FAR_SHARE = 0.85
"""The outer ring reaches at least so many of the stations; who is beyond it stands at the rim."""
_STEPS = (1, 1.5, 2, 2.5, 3, 4, 5, 7.5, 10)
_DOTS = 180
"""Of a ring: more than there are places in the cells of a large picture."""
HERE, MARK, MARK_FAR, MARK_ALARM = "+", "o", "x", "!"


class Around(Struct, frozen=True):
    """Somebody on the picture: what to write beside the mark, and where."""

    label: str
    distance_m: float
    bearing_deg: float | None
    """From true north; None at this very place."""
    alarm: bool = False


def around_lines(
    others: Sequence[Around], width: int, height: int, glyphs: Glyphs, *, miles: bool = False
) -> list[str]:
    """Draw a picture of so many cells; labels that find no room are left out, marks never are."""
    if width < LEAST_WIDTH or height < LEAST_HEIGHT:
        return [" " * max(0, width)] * max(0, height)
    canvas = Canvas(width, height, glyphs)
    unit, name = (METRES_PER_MILE, "mi") if miles else (1000.0, "km")
    reach = rim(others, unit)
    picture = _Picture(canvas, reach)
    picture.rings()
    picture.marks(others)
    picture.scale(unit, name)
    picture.names(others)
    return canvas.lines()


def rim(others: Iterable[Around], unit_m: float) -> float:
    """The distance of the outer ring in metres: a round number of the unit, twice over."""
    distances = sorted(other.distance_m for other in others)
    wanted = distances[min(len(distances) - 1, int(len(distances) * _FAR_SHARE))] if distances else 0.0
    step = max(wanted / _RINGS / unit_m, 1.0)
    power = 10.0 ** math.floor(math.log10(step))
    nice = next((each * power for each in _STEPS if each * power >= step - 1e-9), step)
    return nice * _RINGS * unit_m


class _Picture:
    def __init__(self, canvas: Canvas, reach: float) -> None:
        self._canvas, self._reach = canvas, reach
        self._middle = (canvas.width // 2, canvas.height // 2)
        # Half a circle in cells: rows are twice as high as columns are wide.
        rows = min(self._middle[1], canvas.height - 1 - self._middle[1])
        columns = min(self._middle[0], canvas.width - 1 - self._middle[0])
        self._radius = min(float(rows), columns / CELL_HEIGHT_TO_WIDTH)

    def rings(self) -> None:
        """Dots, below everything."""
        for ring in range(1, _RINGS + 1):
            for dot in range(_DOTS):
                self._canvas.dot(*self._fine_place(ring / _RINGS, 360 * dot / _DOTS))

    def marks(self, others: Sequence[Around]) -> None:
        """Where everybody is; of several at one place the first of the list is seen, and always we."""
        for other in reversed(others):
            far = other.distance_m > self._reach * 1.0001
            self._canvas.put(MARK_ALARM if other.alarm else MARK_FAR if far else MARK, *self._place_of(other))
        self._canvas.put(HERE, *self._middle)

    def scale(self, unit: float, name: str) -> None:
        """Where north is, and how far the rings are, wherever no mark stands."""
        north = self._place(1, 0)
        if self._canvas.fits("N", *north):
            self._canvas.put("N", *north)
        for ring in range(1, _RINGS + 1):
            self._label(f"{self._reach * ring / _RINGS / unit:g} {name}", ring / _RINGS)

    def names(self, others: Sequence[Around]) -> None:
        """The labels that find room, in the order given."""
        for other in others:
            self._name(other.label, *self._place_of(other))

    def _label(self, label: str, share: float) -> None:
        """Upon the ring, at the first bearing where there is room."""
        for bearing in (180, 150, 210, 120, 240, 60, 300, 30, 330):
            column, row = self._place(share, bearing)
            start = min(max(0, column - len(label) // 2), self._canvas.width - len(label))
            if self._canvas.fits(label, start, row):
                self._canvas.put(label, start, row)
                return

    def _name(self, label: str, column: int, row: int) -> None:
        for start, line in (
            (column + 2, row), (column - 1 - len(label), row),
            (column - len(label) // 2, row + 1), (column - len(label) // 2, row - 1),
        ):  # fmt: skip
            if self._canvas.fits(label, start, line):
                self._canvas.put(label, start, line)
                return

    def _place_of(self, other: Around) -> tuple[int, int]:
        if other.bearing_deg is None:
            return self._middle
        return self._place(min(1.0, other.distance_m / self._reach), other.bearing_deg)

    def _place(self, share: float, bearing_deg: float) -> tuple[int, int]:
        column, row = self._fine_place(share, bearing_deg)
        return int(column), int(row)

    def _fine_place(self, share: float, bearing_deg: float) -> tuple[float, float]:
        angle = math.radians(bearing_deg)
        column = self._middle[0] + 0.5 + math.sin(angle) * share * self._radius * CELL_HEIGHT_TO_WIDTH
        return column, self._middle[1] + 0.5 - math.cos(angle) * share * self._radius
