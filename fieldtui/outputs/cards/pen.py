"""Drawing on pages measured in millimetres, with text that is made to fit and never runs over."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Literal
from unicodedata import east_asian_width

from msgspec import Struct

from fieldtui.outputs.cards.geometry import Box, CardSheet, Line, crop_marks
from fieldtui.outputs.cards.typeface import POINTS_PER_MM, REPLACEMENT, Typeface

if TYPE_CHECKING:
    from fpdf import FPDF

ELLIPSIS = "…"
MOST_NAMED = 4

Ink = tuple[int, int, int]
"""Red, green, blue, 0 to 255."""
BLACK: Ink = (20, 24, 28)
GREY: Ink = (105, 112, 118)
PALE: Ink = (196, 201, 205)
GREEN: Ink = (18, 84, 66)


class Fitted(Struct, frozen=True):
    """A line as it fits: smaller, and if that was not enough, cut."""

    text: str
    size_pt: float
    cut: bool = False


class Pen:
    """Draws for one document and remembers what the person who prints must be told, each thing once."""

    def __init__(self, pdf: FPDF, face: Typeface) -> None:
        self.pdf = pdf
        self.face = face
        self._notices: dict[str, None] = {}
        self._missing: dict[str, dict[str, None]] = {}

    def add_page(self, width_mm: float, height_mm: float) -> None:
        """Begin a page of this size."""
        self.pdf.add_page(format=(width_mm, height_mm))

    def notice(self, words: str) -> None:
        """Tell this when all is drawn."""
        self._notices[words] = None

    @property
    def notices(self) -> tuple[str, ...]:
        """What was left out or looks odd, in the order of the stations."""
        return (*self._notices, *(_missing_words(whose, chars) for whose, chars in self._missing.items()))

    # Fitting

    def fit(
        self, text: str, width_mm: float, size_pt: float, floor_pt: float, *, bold: bool = False
    ) -> Fitted:
        """Shrink a line down to the floor, and cut what is still too long."""
        whole = self.face.width(text, size_pt, bold=bold)
        if whole <= width_mm:
            return Fitted(text, size_pt)
        # A tenth of a point down, so that rounding never runs over.
        size = int(10 * size_pt * width_mm / whole) / 10
        if size >= floor_pt:
            return Fitted(text, size)
        return Fitted(self._cut(text, width_mm, floor_pt, bold=bold), floor_pt, cut=True)

    def _cut(self, text: str, width_mm: float, size_pt: float, *, bold: bool) -> str:
        low, high = 0, len(text)
        while low < high:
            middle = (low + high + 1) // 2
            if self.face.width(text[:middle].rstrip() + ELLIPSIS, size_pt, bold=bold) <= width_mm:
                low = middle
            else:
                high = middle - 1
        return text[:low].rstrip() + ELLIPSIS

    def wrap(self, text: str, width_mm: float, size_pt: float, most_lines: int) -> tuple[list[str], bool]:
        """Break a text at blanks into lines of this width; whether some of it had to be left out."""
        lines: list[str] = []
        words = text.split()
        while words:
            count = self._words_that_fit(words, width_mm, size_pt)
            if count == 0 and (broken := self._broken(words[0], width_mm, size_pt)):
                words[0:1] = broken
                count = 1
            if count == 0 or (len(lines) + 1 == most_lines and count < len(words)):
                return [*lines, self._cut(" ".join(words), width_mm, size_pt, bold=False)], True
            lines.append(" ".join(words[:count]))
            words = words[count:]
        return lines, False

    def _broken(self, word: str, width_mm: float, size_pt: float) -> tuple[str, str] | None:
        """A word that is wider than the line, in two; only scripts that are written without blanks break so."""
        end = len(word) - 1
        while end > 0 and self.face.width(word[:end], size_pt) > width_mm:
            end -= 1
        return (word[:end], word[end:]) if end > 0 and east_asian_width(word[end]) in "WF" else None

    def _words_that_fit(self, words: list[str], width_mm: float, size_pt: float) -> int:
        count = 0
        while count < len(words) and self.face.width(" ".join(words[: count + 1]), size_pt) <= width_mm:
            count += 1
        return count

    # Drawing

    def write(
        self,
        text: str,
        left: float,
        baseline: float,
        width_mm: float,
        size_pt: float,
        *,
        floor_pt: float = 5.5,
        bold: bool = False,
        align: Literal["left", "right", "centre"] = "left",
        ink: Ink = BLACK,
        whose: str = "",
    ) -> float:
        """One line within `width_mm` from `left`; returns where its text ends. `whose` is told if it is cut."""
        fitted = self.fit(text, width_mm, size_pt, floor_pt, bold=bold)
        if fitted.cut and whose:
            self.notice(f"{whose}: {text[:30]!r}... does not fit and was cut to {fitted.text!r}")
        wide = self.face.width(fitted.text, fitted.size_pt, bold=bold)
        room = max(0.0, width_mm - wide)
        start = left + {"left": 0.0, "centre": room / 2, "right": room}[align]
        self.put(fitted.text, start, baseline, fitted.size_pt, bold=bold, ink=ink)
        if whose:
            self.tell_missing(text, whose)
        return start + wide

    def put(
        self, text: str, left: float, baseline: float, size_pt: float, *, bold: bool = False, ink: Ink = BLACK
    ) -> None:
        """One line as it is, with no question whether it fits."""
        self.pdf.set_text_color(*ink)
        self.face.draw(left, baseline, text, size_pt, bold=bold)

    def tell_missing(self, text: str, whose: str) -> None:
        """Remember the characters that no font has."""
        if missing := self.face.missing_in(text):
            self._missing.setdefault(whose, {}).update(dict.fromkeys(missing))

    def rule(self, left: float, right: float, y: float, *, thick_mm: float = 0.15, ink: Ink = PALE) -> None:
        """A level line."""
        self.lines([(left, y, right, y)], thick_mm=thick_mm, ink=ink)

    def lines(self, lines: Iterable[Line], *, thick_mm: float, ink: Ink) -> None:
        """Straight lines."""
        self.pdf.set_draw_color(*ink)
        self.pdf.set_line_width(thick_mm)
        for x1, y1, x2, y2 in lines:
            self.pdf.line(x1, y1, x2, y2)

    def block(self, box: Box, ink: Ink) -> None:
        """A filled rectangle."""
        self.pdf.set_fill_color(*ink)
        self.pdf.rect(box.left, box.top, box.width, box.height, style="F")

    def crop_marks(self, boxes: tuple[Box, ...], page: CardSheet) -> None:
        """Marks around boxes on a page, each once."""
        marks: dict[Line, None] = {}
        for box in boxes:
            others = tuple(other for other in boxes if other is not box)
            marks |= dict.fromkeys(crop_marks(box, page.width_mm, page.height_mm, others))
        self.lines(marks, thick_mm=0.1, ink=BLACK)


def _missing_words(whose: str, characters: Iterable[str]) -> str:
    real = [f"{each} (U+{ord(each):04X})" for each in characters if each != REPLACEMENT]
    if not real:
        return f"{whose}: has characters that no font can have: printed as {REPLACEMENT}"
    more = f" and {len(real) - MOST_NAMED} more" if len(real) > MOST_NAMED else ""
    named = ", ".join(real[:MOST_NAMED])
    return f"{whose}: no font here has {named}{more}: printed as {REPLACEMENT}; --font FILE names a font"


def line_height_mm(size_pt: float) -> float:
    """From baseline to baseline: 1.25 of the size (common practice, no source)."""
    return 1.25 * size_pt / POINTS_PER_MM
