"""Contacts, cards and documents made by hand, and a PDF read back by another library."""

from __future__ import annotations

import io
from datetime import UTC, date, datetime
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from typing import Any, NamedTuple

import pypdfium2
from pypdfium2.raw import FPDF_PAGEOBJ_PATH

from fieldtui.outputs.cards.addresses import Address
from fieldtui.outputs.cards.document import Order, Printed, write_document
from fieldtui.outputs.cards.promises import CardContact, Entry, queue_of
from fieldtui.session.cards import CardState

TODAY = date(2026, 7, 20)
MM = 25.4 / 72
"""A PDF point in millimetres: ISO 32000-1, 8.3.2.3, 72 points to the inch."""


@cache
def japanese_font() -> Path:
    """A font that ships with a plotting package of the test set."""
    spec = find_spec("japanize_matplotlib")
    assert spec
    assert spec.origin
    return Path(spec.origin).parent / "fonts/ipaexg.ttf"


def made(
    call: str = "KD7QSV", *, base: str = "", day: int = 14, minute: int = 3, **fields: Any
) -> CardContact:
    """A contact of June 2026 for which a card was promised."""
    values: dict[str, Any] = {
        "card": CardState(promised=True), "sent": "59", "received": "57", "name": "Rosa", "hertz": 146_520_000,
        "mode": "FM", "watts": 10.0, "own_call": "W7QRV", "own_place": "Larkspur Ridge", "own_locator": "CN94fl",
    }  # fmt: skip
    return CardContact(
        journal=Path(f"2026-06-{day:02}.jsonl"), id=f"id-{call}-{day}-{minute}", call=call,
        base=base or call.split("/", maxsplit=1)[0], at=datetime(2026, 6, day, 17, minute, tzinfo=UTC), **{**values, **fields},
    )  # fmt: skip


class Glyph(NamedTuple):
    """A character on paper, in millimetres from the upper left corner."""

    text: str
    left: float
    top: float
    right: float
    bottom: float


class Document(NamedTuple):
    """A PDF as somebody else's library reads it."""

    data: bytes
    printed: Printed

    @property
    def pdf(self) -> pypdfium2.PdfDocument:
        """The opened document."""
        return pypdfium2.PdfDocument(self.data)

    def size_mm(self, page: int = 0) -> tuple[float, float]:
        """Width and height of a page."""
        width, height = self.pdf[page].get_size()
        return width * MM, height * MM

    def text(self, page: int = 0) -> str:
        """The text of a page."""
        return str(self.pdf[page].get_textpage().get_text_bounded())

    @property
    def all_text(self) -> str:
        """The text of all pages."""
        return "\n".join(self.text(page) for page in range(len(self.pdf)))

    def glyphs(self, page: int = 0) -> list[Glyph]:
        """Every character that leaves ink, and where."""
        opened = self.pdf[page]
        height = opened.get_size()[1]
        text = opened.get_textpage()
        found = []
        for index in range(text.count_chars()):
            left, bottom, right, top = text.get_charbox(index)
            character = text.get_text_range(index, 1)
            if character.strip():
                found.append(
                    Glyph(character, left * MM, (height - top) * MM, right * MM, (height - bottom) * MM)
                )
        return found

    def strokes(self, page: int = 0) -> list[tuple[float, float, float, float]]:
        """Lines and blocks as left, top, right, bottom in millimetres, less half the width of the line."""
        opened = self.pdf[page]
        height = opened.get_size()[1]
        found = []
        for each in opened.get_objects(filter=[FPDF_PAGEOBJ_PATH]):
            left, bottom, right, top = each.get_bounds()
            found.append((left * MM, (height - top) * MM, right * MM, (height - bottom) * MM))
        return found

    def ink(self, page: int, box: tuple[float, float, float, float], scale: float = 4.0) -> float:
        """How dark a part of the drawn page is: 0 is blank paper, 1 is black; the box in millimetres."""
        picture = self.pdf[page].render(scale=scale).to_pil().convert("L")
        part = picture.crop(tuple(round(side / MM * scale) for side in box))
        histogram: list[int] = part.histogram()
        return 1 - sum(shade * count for shade, count in enumerate(histogram)) / (255 * sum(histogram))


def document(
    contacts: list[CardContact], order: Order | None = None, addresses: dict[str, Address] | None = None
) -> Document:
    """Print these contacts."""
    entries: list[Entry] = queue_of(contacts, TODAY, addresses or {})
    file = io.BytesIO()
    at = datetime(2026, 7, 20, 12, 0, tzinfo=UTC)
    printed = write_document(
        file, entries, addresses or {}, order or Order(), made_at=at, told=lambda *_: None
    )
    return Document(file.getvalue(), printed)
