"""The fonts of one document: the bundled one, and for characters that it lacks whatever fonts have them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from importlib.resources import as_file, files
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING
from unicodedata import bidirectional

from fieldtui.outputs.cards.font_search import FontError, Progress, characters_of, find_fonts

if TYPE_CHECKING:
    from fpdf import FPDF

REPLACEMENT = "\ufffd"
"""Drawn for a character that no font has. The bundled font has it."""

POINTS_PER_MM = 72 / 25.4
_MAIN = "main"
_FILES = {"": "DejaVuSans.ttf", "B": "DejaVuSans-Bold.ttf"}


class Typeface:
    """Measures and draws text that may be of any script.

    Sizes are in points, widths in millimetres. Letters that change their form with their neighbours (Arabic,
    the scripts of India) are drawn one by one.
    """

    def __init__(self, pdf: FPDF, named: Sequence[Path] = ()) -> None:
        """Add the bundled font, and the files that the user named.

        Raises:
            FontError: a file is not a font.
        """
        self._pdf = pdf
        self._named = [(font, characters_of(font)) for font in named]
        self._more: list[tuple[str, frozenset[int]]] = []
        self._has: dict[str, frozenset[int]] = {}
        for style, name in _FILES.items():
            with as_file(files("fieldtui.data").joinpath("fonts", name)) as path:
                pdf.add_font(_MAIN, style, path)
                self._has[style] = characters_of(path)

    def prepare(self, texts: Iterable[str], progress: Progress | None = None) -> None:
        """Take what the bundled font lacks from the fonts that were named, then from any that can be found.

        Raises:
            FontError: a font that was named cannot be embedded.
        """
        wanted = {each for text in texts for each in self.missing_in(text)} - {REPLACEMENT}
        for font, has in self._named:
            wanted -= self._add(font, has, wanted)
        for font in find_fonts(wanted, progress=progress) if wanted else ():
            try:
                wanted -= self._add(font, characters_of(font), wanted)
            except FontError:
                continue

    def _add(self, font: Path, has: frozenset[int], wanted: set[str]) -> set[str]:
        """Embed what is wanted of a font, and keep nothing else of it in memory; returns what it had."""
        had = {each for each in wanted if ord(each) in has}
        if not had:
            return had
        codes = sorted(ord(each) for each in had)
        family = f"more{len(self._more)}"
        try:
            self._pdf.add_font(family, "", font.absolute(), unicode_range=codes)
        except Exception as error:
            # Whatever is odd about a font of somebody's, it ends in one line.
            raise FontError(f"{font} cannot be embedded: name another font") from error
        self._more.append((family, frozenset(codes)))
        return had

    def missing_in(self, text: str) -> str:
        """The characters that no font has, each once, in order."""
        return "".join(dict.fromkeys(each for each in text if not self._family_of(each, "")))

    def _family_of(self, character: str, style: str) -> tuple[str, str] | None:
        code = ord(character)
        if code != ord(REPLACEMENT):
            if style and code in self._has[style]:
                return _MAIN, style
            if code in self._has[""]:
                return _MAIN, ""
            return next(((family, "") for family, has in self._more if code in has), None)
        return None

    def _runs(self, text: str, style: str) -> list[tuple[tuple[str, str], str]]:
        """Pieces of one font each, as they stand from left to right."""
        if any(bidirectional(each) in ("R", "AL") for each in text):
            from fpdf.bidi import BidiParagraph, auto_detect_base_direction  # noqa: PLC0415

            text = BidiParagraph(text, auto_detect_base_direction(text)).get_reordered_string()
        found = [(self._family_of(each, style), each) for each in text]
        whole = [(font or (_MAIN, style), each if font else REPLACEMENT) for font, each in found]
        return [
            (font, "".join(each for _, each in run)) for font, run in groupby(whole, key=lambda one: one[0])
        ]

    def width(self, text: str, size_pt: float, *, bold: bool = False) -> float:
        """How wide a text is, in millimetres."""
        return sum(self._run_width(run, font, size_pt) for font, run in self._runs(text, "B" if bold else ""))

    def _run_width(self, run: str, font: tuple[str, str], size_pt: float) -> float:
        _, points = self._pdf.fonts["".join(font)].get_text_width(run, size_pt, None)
        return points / POINTS_PER_MM

    def draw(self, left: float, baseline: float, text: str, size_pt: float, *, bold: bool = False) -> None:
        """Draw one line of text; both places in millimetres from the upper left corner."""
        for font, run in self._runs(text, "B" if bold else ""):
            self._pdf.set_font(*font, size=size_pt)
            self._pdf.text(left, baseline, run)
            left += self._run_width(run, font, size_pt)
