"""Which characters may be drawn.

The fonts of the Linux console hold 256 or 512 glyphs; code page 437 is the set that the small ones have.
"""

from __future__ import annotations

from msgspec import Struct
from rich.cells import cell_len


class Glyphs(Struct, frozen=True):
    """One set of drawing characters. `levels` go from low to full, for plots; `full`, `upper`, `lower`
    are block elements, or empty where only ASCII may be drawn."""

    name: str
    full: str
    rest: str
    levels: str
    upper: str = ""
    lower: str = ""
    border: str = "ascii"
    dash: str = "-"
    degree: str = "deg"
    encoding: str = ""
    """The characters of which encoding there are; empty: all."""

    def drawn(self, text: str) -> str:
        """The text with `?` in each cell that these glyphs cannot fill, such as a letter in a name."""
        if not self.encoding or text.isascii():
            return text
        return "".join(self._drawn(character) for character in text)

    def _drawn(self, character: str) -> str:
        try:
            character.encode(self.encoding)
        except UnicodeEncodeError:
            return "?" * cell_len(character)
        return character

    @property
    def blocks(self) -> bool:
        """Whether big digits can be drawn."""
        return bool(self.upper)


ASCII = Glyphs("ascii", full="#", rest=".", levels="_.:#", encoding="ascii")
CP437 = Glyphs(
    "cp437",
    full="█",
    rest="░",
    levels="_▄█",
    upper="▀",
    lower="▄",
    border="solid",
    dash="─",
    degree="°",
    encoding="cp437",
)
UNICODE = Glyphs(
    "unicode",
    full="█",
    rest="░",
    levels="▁▂▃▄▅▆▇█",
    upper="▀",
    lower="▄",
    border="solid",
    dash="─",
    degree="°",
)

SETS = {glyphs.name: glyphs for glyphs in (ASCII, CP437, UNICODE)}


def glyphs_for(term: str, encoding: str) -> Glyphs:
    """The set that a terminal most likely has, by `TERM` and the locale's encoding."""
    if "utf" not in encoding.lower():
        return ASCII
    if term == "linux" or term.startswith("vt"):
        return CP437
    return UNICODE
