"""The back of a card: whom it goes to, the contacts that it confirms, and who says so.

What stands on it is customary (common practice, no source): both calls, day and time in UTC, frequency, mode,
report, place, and whether a card is asked for (PSE QSL) or came already (TNX QSL).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import groupby
from typing import NamedTuple

from msgspec import Struct

from fieldtui.outputs.cards.addresses import Addresses
from fieldtui.outputs.cards.geometry import Box
from fieldtui.outputs.cards.pen import BLACK, GREEN, GREY, Pen, line_height_mm
from fieldtui.outputs.cards.promises import CardContact
from fieldtui.radio.bands import band_of
from fieldtui.radio.frequency import format_megahertz

ROWS_OF_A_CARD = 5
EDGE_MM = 7.0
ROW_MM = 5.2
UNKNOWN = "–"


class OwnStation(Struct, frozen=True):
    """What the station file says of the operator's own station; what it does not say is empty."""

    call: str = ""
    name: str = ""
    antenna: str = ""


class Wishes(Struct, frozen=True):
    """What the person who prints wants on the cards: whose they are, a message, the remarks of the log."""

    own: OwnStation = OwnStation()
    message: str = ""
    remarks: bool = True


class Back(Struct, frozen=True):
    """One card. All its contacts were made with the same call on either side, from the same place."""

    contacts: tuple[CardContact, ...]
    via: str = ""
    part: int = 1
    parts: int = 1

    @property
    def first(self) -> CardContact:
        """Which stands for all in what they share."""
        return self.contacts[0]

    @property
    def thanks(self) -> bool:
        """Whether the other station's card came for all of them: then none is asked for."""
        return all(each.card.received_on for each in self.contacts)


def backs_of(contacts: Iterable[CardContact], addresses: Addresses) -> list[Back]:
    """The cards for one station: one for each call that either side signed and each place, more if it overflows.

    A card confirms a contact with the call that was used, so `/P` is not put together with the bare call.
    """
    cards: list[Back] = []
    for _, group in groupby(sorted(contacts, key=_order), key=_shared):
        rows = tuple(group)
        parts = [rows[at : at + ROWS_OF_A_CARD] for at in range(0, len(rows), ROWS_OF_A_CARD)]
        route = addresses.get(rows[0].base)
        via = route.via if route else ""
        cards += [Back(part, via, number, len(parts)) for number, part in enumerate(parts, 1)]
    return sorted(cards, key=lambda card: card.first.at)


def _shared(contact: CardContact) -> tuple[str, ...]:
    own = (contact.own_call, contact.operator_call, contact.own_place, contact.own_locator)
    return contact.call, *own


def _order(contact: CardContact) -> tuple[object, ...]:
    return (*_shared(contact), contact.at)


class _Column(NamedTuple):
    title: str
    share: float


_COLUMNS = (
    _Column("DATE (UTC)", 0.19), _Column("TIME (UTC)", 0.12), _Column("MHz", 0.26), _Column("MODE, BOTH WAYS", 0.19),
    _Column("YOUR REPORT", 0.14), _Column("POWER", 0.10),
)  # fmt: skip


def draw_back(pen: Pen, box: Box, back: Back, wishes: Wishes) -> None:
    """Draw one card into its box."""
    inner = box.inside(EDGE_MM)
    pen.block(Box(box.left, box.top + EDGE_MM + 13.8, box.width, 1.1), GREEN)
    _draw_own(pen, inner, back, wishes.own)
    _draw_to(pen, inner, back)
    bottom = _draw_table(pen, inner, back)
    _draw_foot(pen, inner, bottom, back, wishes)


def _draw_own(pen: Pen, inner: Box, back: Back, own: OwnStation) -> None:
    first, base = back.first, back.first.base
    call = first.own_call or own.call
    if call:
        pen.write(call, inner.left, inner.top + 10.4, 72, 32, floor_pt=12, bold=True, ink=GREEN, whose=base)
    else:
        pen.notice(f"{base}: neither journal nor station file names your own call: its place is left empty")
        pen.rule(inner.left, inner.left + 60, inner.top + 10.4)
    operator = ", ".join(filter(None, (own.name, first.operator_call if first.operator_call != call else "")))
    lines = [operator, first.own_place, f"Locator {first.own_locator}" if first.own_locator else ""]
    kept = [line for line in lines if line]
    baseline = inner.top + 2.6 + (3 - len(kept)) * 2.2
    for number, line in enumerate(kept):
        bold = line == operator
        pen.write(line, inner.left + 74, baseline + number * 4.1, inner.width - 74, 9.5, bold=bold, align="right",
                  whose=base)  # fmt: skip


def _draw_to(pen: Pen, inner: Box, back: Back) -> None:
    base, top = back.first.base, inner.top + 19.6
    _caption(pen, "TO RADIO", inner.left, top)
    pen.write(back.first.call, inner.left, top + 7.0, 62, 20, floor_pt=9, bold=True, whose=base)
    middle = inner.left + 66
    _caption(pen, "VIA", middle, top)
    if back.via:
        pen.write(back.via, middle, top + 7.0, inner.width - 66, 13, floor_pt=7, whose=base)
    else:
        pen.rule(middle, inner.right, top + 7.4)


def _draw_table(pen: Pen, inner: Box, back: Back) -> float:
    top = inner.top + 32.6
    count = "our contact" if len(back.contacts) == 1 else f"our {len(back.contacts)} contacts"
    part = f"  (card {back.part} of {back.parts})" if back.parts > 1 else ""
    pen.write(f"This confirms {count}{part}", inner.left, top, inner.width, 8.5)
    lefts, left = [], inner.left
    for column in _COLUMNS:
        lefts.append(left)
        left += column.share * inner.width
    for column, start in zip(_COLUMNS, lefts, strict=True):
        _caption(pen, column.title, start, top + 4.8)
    pen.rule(inner.left, inner.right, top + 5.9, thick_mm=0.3, ink=BLACK)
    for number, contact in enumerate(back.contacts, 1):
        baseline = top + 5.9 + number * ROW_MM - 1.5
        for column, start, cell in zip(_COLUMNS, lefts, _cells(contact), strict=True):
            pen.write(cell, start, baseline, column.share * inner.width - 1.5, 10, whose=contact.base)
        pen.rule(inner.left, inner.right, baseline + 1.5)
    return top + 5.9 + len(back.contacts) * ROW_MM


def _cells(contact: CardContact) -> tuple[str, ...]:
    megahertz = contact.band or UNKNOWN
    if contact.hertz:
        band = band_of(contact.hertz)
        megahertz = format_megahertz(contact.hertz) + (f" ({band.name})" if band else "")
    watts = f"{contact.watts:g} W" if contact.watts is not None else UNKNOWN
    return (
        f"{contact.at:%Y-%m-%d}", f"{contact.at:%H:%M}", megahertz, contact.mode or UNKNOWN, contact.sent or UNKNOWN,
        watts,
    )  # fmt: skip


def _draw_foot(pen: Pen, inner: Box, table_bottom: float, back: Back, wishes: Wishes) -> None:
    asked = "TNX QSL" if back.thanks else "PSE QSL"
    pen.write(asked, inner.right - 44, inner.bottom - 5.4, 44, 12, bold=True, align="right", ink=GREEN)
    pen.write("73", inner.right - 44, inner.bottom - 0.6, 6, 8.5)
    pen.rule(inner.right - 37, inner.right, inner.bottom, ink=GREY)
    room, width = inner.bottom - table_bottom, inner.width - 50
    lines = int(room // line_height_mm(8))
    texts = [
        f"Antenna: {wishes.own.antenna}" if wishes.own.antenna else "",
        _remarks(back, wishes),
        wishes.message,
    ]
    _draw_lines(
        pen,
        [text for text in texts if text],
        Box(inner.left, table_bottom, width, room),
        lines,
        back.first.base,
    )


def _remarks(back: Back, wishes: Wishes) -> str:
    if not wishes.remarks:
        return ""
    with_remarks = [each for each in back.contacts if each.remarks]
    if len({each.remarks for each in back.contacts}) == 1:
        return f"Remarks: {back.first.remarks}" if with_remarks else ""
    told = "; ".join(f"{each.at:%m-%d %H:%M} {each.remarks}" for each in with_remarks)
    return f"Remarks: {told}" if told else ""


def _draw_lines(pen: Pen, texts: Sequence[str], box: Box, most: int, whose: str) -> None:
    """Texts one below the other, standing on the lower edge; each gets what those after it leave."""
    lines: list[str] = []
    for number, text in enumerate(texts):
        left = most - len(lines) - (len(texts) - number - 1)
        wrapped, cut = pen.wrap(text, box.width, 8, max(1, left))
        lines += wrapped
        pen.tell_missing(text, whose)
        if cut:
            pen.notice(f"{whose}: {text[:30]!r}... does not fit and was cut")
    height = line_height_mm(8)
    first = box.bottom - 0.8 - (min(len(lines), most) - 1) * height
    for number, line in enumerate(lines[:most]):
        pen.write(line, box.left, first + number * height, box.width, 8, floor_pt=4)


def _caption(pen: Pen, text: str, left: float, baseline: float) -> None:
    pen.put(text, left, baseline, 6, ink=GREY)
