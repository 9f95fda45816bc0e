"""Contacts as a CSV table (RFC 4180), for spreadsheets and for reading. Pure: records in, bytes out."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from fieldtui.journal.rfc3339 import rfc3339
from fieldtui.outputs.records.adif_values import megahertz, number
from fieldtui.outputs.records.fold import Record, text_of

BYTE_ORDER_MARK = b"\xef\xbb\xbf"
FORMULA_STARTS = "=+-@\t\r\n\0＝＋－＠"
"""A text that begins so is run as a formula by spreadsheets, quoted or not (OWASP, CSV Injection)."""

COLUMNS = (
    "journal", "number", "at", "ended_at", "call", "sent", "received", "name", "place", "locator", "distance_km",
    "bearing_deg", "position_from", "band", "mhz", "transmit_mhz", "mode", "watts", "remarks", "card_promised", "card_sent_on",
    "card_sent_via", "card_received_on", "card_received_via", "station_call", "operator_call", "own_place",
    "own_locator", "own_lat_deg", "own_lon_deg", "own_height_m",
)  # fmt: skip


def header() -> bytes:
    """The line of column names."""
    return _line(COLUMNS)


def line(record: Record) -> bytes:
    """One contact: numbers and times bare, text guarded against being taken for a formula."""
    return _line([*_cells(record)])


def _cells(record: Record) -> Iterator[str]:
    contact, cards, where = record.contact, record.cards, record.facts.where
    yield from (guarded(record.journal), str(contact.number))
    yield from (rfc3339(record.at) or "", rfc3339(record.ended_at) or "")
    yield from map(
        guarded,
        (contact.call, contact.sent, contact.received, contact.name, contact.place, contact.locator),
    )
    yield number(where.path.distance_m / 1000, 1) if where.path else ""
    yield number(where.bearing_deg, 1) if where.bearing_deg is not None else ""
    yield where.source_words or ""
    yield record.band
    yield megahertz(contact.hertz) if contact.hertz else ""
    yield megahertz(contact.transmit_hertz) if contact.transmit_hertz else ""
    yield guarded(contact.mode)
    yield _number(contact.watts)
    yield guarded(contact.remarks)
    yield "yes" if cards.promised else ""
    yield from (_day(cards.sent_on), cards.sent_via or "")
    yield from (_day(cards.received_on), cards.received_via or "")
    yield from map(
        guarded, (record.station_call, record.operator_call, contact.own_place, contact.own_locator)
    )
    yield from map(_number, (contact.own_lat_deg, contact.own_lon_deg, contact.own_height_metres))


def guarded(text: str | None) -> str:
    """Outside text on one line, with an apostrophe before what a spreadsheet would run."""
    bare = text_of(text)
    return f"'{bare}" if bare.startswith(tuple(FORMULA_STARTS)) else bare


def _number(value: float | None) -> str:
    return "" if value is None else number(value)


def _day(on: date | None) -> str:
    return on.isoformat() if on else ""


def _line(cells: list[str] | tuple[str, ...]) -> bytes:
    return (",".join(map(_quoted, cells)) + "\r\n").encode("utf-8")


def _quoted(cell: str) -> str:
    if any(character in cell for character in ',"\r\n'):
        return '"' + cell.replace('"', '""') + '"'
    return cell
