"""The document: cards first, then labels, in one PDF with its fonts in it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO

from msgspec import Struct

from fieldtui import __version__
from fieldtui.outputs.cards.addresses import Addresses
from fieldtui.outputs.cards.backs import Back, Wishes, backs_of, draw_back
from fieldtui.outputs.cards.font_search import Progress
from fieldtui.outputs.cards.geometry import LabelSheet, Paper, card_sheet
from fieldtui.outputs.cards.labels import Label, draw_labels
from fieldtui.outputs.cards.pen import Pen
from fieldtui.outputs.cards.promises import CardContact, Entry
from fieldtui.outputs.cards.typeface import Typeface

if TYPE_CHECKING:
    from fpdf import FPDF

Told = Callable[[str, int, int], object]
"""What is being done, how much of it is done, and how much there is."""


class Order(Struct, frozen=True):
    """What is to be printed, and how.

    Without `sheet` no labels, without `cards` no cards. `paper` is what several cards share; without it each
    card is a page of its own. `skip` labels of the first sheet were used before.
    """

    cards: bool = True
    sheet: LabelSheet | None = None
    paper: Paper | None = None
    crop_marks: bool = False
    skip: int = 0
    wishes: Wishes = Wishes()
    fonts: tuple[Path, ...] = ()


class Printed(Struct, frozen=True):
    """What came of it: how many cards and labels, on how many pages, and what the person must be told."""

    cards: int
    labels: int
    pages: int
    notices: tuple[str, ...]


def write_document(
    file: BinaryIO,
    entries: Sequence[Entry],
    addresses: Addresses,
    order: Order,
    *,
    made_at: datetime,
    told: Told,
) -> Printed:
    """Draw cards and labels for these stations and write the PDF.

    Raises:
        FontError: a font that was named is none.
    """
    backs = (
        [back for entry in entries for back in backs_of(_to_print(entry), addresses)] if order.cards else []
    )
    labels = _labels(entries, addresses) if order.sheet else []
    pdf = _empty_document(made_at)
    face = Typeface(pdf, order.fonts)
    face.prepare(_texts(backs, labels, order), _named("looking through fonts", told))
    pen = Pen(pdf, face)
    for done in _draw_cards(pen, backs, order):
        told("cards", done, len(backs))
    if order.sheet:
        for done in _draw_labels(pen, labels, order, order.sheet):
            told("labels", done, len(labels))
        _tell_without_label(pen, entries, labels)
    if pdf.page:
        told("writing", 0, 1)
        pdf.output(file)
    return Printed(len(backs), len(labels), pdf.page, pen.notices)


def _empty_document(made_at: datetime) -> FPDF:
    from fpdf import FPDF  # noqa: PLC0415

    pdf = FPDF(unit="mm")
    pdf.set_auto_page_break(auto=False)
    pdf.set_margin(0)
    pdf.set_creation_date(made_at)
    pdf.set_title("Cards")
    pdf.set_creator(f"fieldtui {__version__}")
    return pdf


def _draw_labels(pen: Pen, labels: Sequence[Label], order: Order, sheet: LabelSheet) -> Iterator[int]:
    return draw_labels(pen, labels, sheet, skip=order.skip % sheet.labels, crop_marks=order.crop_marks)


def _tell_without_label(pen: Pen, entries: Sequence[Entry], labels: Sequence[Label]) -> None:
    labelled = {label.whose for label in labels}
    for entry in entries:
        if entry.base not in labelled:
            pen.notice(
                f"{entry.base}: no address, so no label; 'fieldtui cards address {entry.base}' takes one"
            )


def _named(what: str, told: Told) -> Progress:
    return lambda done, total: told(what, done, total)


def _to_print(entry: Entry) -> Sequence[CardContact]:
    """What waits; of a station that was asked for although nothing waits, what was promised or sent."""
    return entry.waiting or tuple(each for each in entry.contacts if each.card.promised or each.card.sent_on)


def _labels(entries: Iterable[Entry], addresses: Addresses) -> list[Label]:
    found = ((entry.base, addresses.get(entry.base)) for entry in entries)
    return [Label(base, address.lines) for base, address in found if address and address.lines]


def _texts(backs: Iterable[Back], labels: Iterable[Label], order: Order) -> Iterable[str]:
    own = order.wishes.own
    yield from (own.call, own.name, own.antenna, order.wishes.message)
    for back in backs:
        yield back.via
        for each in back.contacts:
            yield from (each.call, each.own_call, each.operator_call, each.own_place, each.own_locator)
            yield from (each.mode, each.sent, each.remarks)
    for label in labels:
        yield from label.lines


def _draw_cards(pen: Pen, backs: Sequence[Back], order: Order) -> Iterable[int]:
    page = card_sheet(order.paper, crop_marks=order.crop_marks)
    for number, back in enumerate(backs):
        place = number % len(page.boxes)
        if place == 0:
            pen.add_page(page.width_mm, page.height_mm)
            if order.crop_marks:
                pen.crop_marks(page.boxes, page)
        draw_back(pen, page.boxes[place], back, order.wishes)
        yield number + 1
