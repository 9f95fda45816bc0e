"""Contacts as an ADI file, to the ADIF specification 3.1.6. Pure: records in, bytes out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, datetime

from fieldtui import __version__
from fieldtui.outputs.records import adif_values as values
from fieldtui.outputs.records.fold import Record, own_place
from fieldtui.outputs.records.plain_ascii import fold, fold_lines
from fieldtui.radio.adif_modes import names_in_adif
from fieldtui.radio.bands import band_of
from fieldtui.radio.locator import cell_of
from fieldtui.session.packets.log import SharedPlace
from fieldtui.session.ways import centre_of

VERSION = "3.1.6"
MOST_HELD_BACK = 2
"""Digits of a position in a packet: the minute is known then, as it is from six characters of a locator."""

MOST_TOLD = 8
"""Contacts that are named for each thing that could not be written as it is."""

_CALLS = {"CALL", "STATION_CALLSIGN", "OPERATOR"}

_VIA = {"bureau": "B", "direct": "D", "electronic": "E"}

Field = tuple[str, str]
"""A name and a value that is ready to be written; an empty value is left out."""


@dataclass(slots=True)
class Losses:
    """What could not be written as it stands in the journal: by the reason, how many and the first contacts."""

    counts: dict[str, int] = field(default_factory=dict)
    examples: dict[str, list[str]] = field(default_factory=dict)

    def add(self, reason: str, record: Record) -> None:
        """One more contact of which this holds."""
        self.counts[reason] = self.counts.get(reason, 0) + 1
        examples = self.examples.setdefault(reason, [])
        if len(examples) < MOST_TOLD:
            examples.append(f"{record.contact.number} {record.contact.call[:20]}")

    def lines(self) -> Iterator[str]:
        """For people."""
        for reason, count in self.counts.items():
            named = ", ".join(self.examples[reason])
            more = f" and {count - MOST_TOLD} more" if count > MOST_TOLD else ""
            yield f"{count} contact{'s' if count > 1 else ''} {reason}: {named}{more}"


NOT_ASCII = "with text that ADIF cannot hold, spelled without accents or with ? (the journal keeps it)"
NO_MODE = "with a mode that ADIF has no name for, left out"
NO_BAND = "outside of every band that ADIF names; the frequency is there"
NO_LOCATOR = "with a locator that is none, left out"
NO_END = "with an end before the beginning, left out"
NO_DATE = (
    f"from before {values.EARLIEST_YEAR}, which ADIF has no date for (a clock that was never set?), left out"
)


def header(created: datetime) -> bytes:
    """All before the first record."""
    fields = (
        ("ADIF_VER", VERSION),
        ("CREATED_TIMESTAMP", f"{values.date(created)} {values.time(created)}"),
        ("PROGRAMID", "fieldtui"),
        ("PROGRAMVERSION", __version__),
    )
    tags = "".join(f"{values.tag(name, value)}\r\n" for name, value in fields)
    return f"Contacts of portable sessions\r\n{tags}<EOH>\r\n".encode("ascii")


class AdifRecords:
    """Writes records; `losses` tells what was lost. `my_names` are operators' names by their calls."""

    def __init__(self, my_names: dict[str, str] | None = None) -> None:
        self.losses = Losses()
        self._my_names = my_names or {}

    def line(self, record: Record) -> bytes:
        """One record on one line (line ends inside of values apart); nothing if its date cannot be written."""
        if record.at.year < values.EARLIEST_YEAR:
            self.losses.add(NO_DATE, record)
            return b""
        if record.contact.ended_at is not None and record.ended_at is None:
            self.losses.add(NO_END, record)
        fields = [*self._fields(record)]
        if any(value and not plain for _, value, plain in fields):
            self.losses.add(NOT_ASCII, record)
        tags = "".join(values.tag(name, value) for name, value, _ in fields if value)
        return f"{tags}<EOR>\r\n".encode("ascii")

    def _fields(self, record: Record) -> Iterator[tuple[str, str, bool]]:
        """Name, value, and whether the value tells what the journal tells."""
        contact = record.contact
        yield from _folded(("CALL", contact.call))
        for name, value in (*_times(record), *self._channel(record)):
            yield name, value, True
        yield from _folded(
            ("RST_SENT", contact.sent), ("RST_RCVD", contact.received), ("NAME", contact.name), ("QTH", contact.place)
        )  # fmt: skip
        for name, value in (*self._places(record), *_cards(record)):
            yield name, value, True
        my_name = self._my_names.get((record.operator_call or record.station_call or "").upper())
        yield from _folded(
            ("STATION_CALLSIGN", record.station_call), ("OPERATOR", record.operator_call),
            ("MY_NAME", my_name),
            ("MY_CITY", contact.own_place),
        )  # fmt: skip
        if contact.remarks:
            yield "NOTES", fold_lines(contact.remarks), _is_plain(contact.remarks.replace("\n", ""))

    def _channel(self, record: Record) -> Iterator[Field]:
        contact = record.contact
        sent, received, band = contact.transmit_hertz or contact.hertz, contact.hertz, record.band
        if sent and not band:
            self.losses.add(NO_BAND, record)
        yield from (("BAND", band), ("FREQ", values.megahertz(sent) if sent else ""))
        if received and received != sent:
            heard_on = band_of(received)
            yield from (
                ("BAND_RX", heard_on.name if heard_on else ""),
                ("FREQ_RX", values.megahertz(received)),
            )
        yield from self._mode(record)
        if contact.watts is not None and contact.watts >= 0:
            yield "TX_PWR", values.number(contact.watts)

    def _mode(self, record: Record) -> Iterator[Field]:
        if not record.contact.mode:
            return
        names = names_in_adif(record.contact.mode)
        if names is None:
            self.losses.add(NO_MODE, record)
            return
        yield from (("MODE", names[0]), ("SUBMODE", names[1] or ""))

    def _places(self, record: Record) -> Iterator[Field]:
        contact, where = record.contact, record.facts.where
        yield from self._locator("", contact.locator, record)
        yield from _position("", _precise_centre(contact.locator) or _precise_place(where.shared))
        yield "DISTANCE", values.number(where.path.distance_m / 1000, 3) if where.path else ""
        yield from self._locator("MY_", contact.own_locator, record)
        measured = contact.own_lat_deg is not None
        yield from _position("MY_", own_place(record) if measured else _precise_centre(contact.own_locator))
        height_metres = contact.own_height_metres
        if height_metres is not None and abs(height_metres) <= values.MOST_METRES:
            yield "MY_ALTITUDE", values.number(height_metres, 1)

    def _locator(self, prefix: str, locator: str | None, record: Record) -> Iterator[Field]:
        if not locator:
            return
        cell = cell_of(locator)
        if cell is None:
            self.losses.add(NO_LOCATOR, record)
            return
        text = cell.locator.upper()
        yield from ((f"{prefix}GRIDSQUARE", text[:8]), (f"{prefix}GRIDSQUARE_EXT", text[8:]))


def _folded(*fields: tuple[str, str | None]) -> Iterator[tuple[str, str, bool]]:
    for name, text in fields:
        if text:
            # Spelled in ASCII first: some signs have no capital, and their plain spelling has.
            plain = fold(text)
            yield name, plain.upper() if name in _CALLS else plain, _is_plain(text)


def _is_plain(text: str) -> bool:
    return text.isascii() and text.isprintable()


def _times(record: Record) -> Iterator[Field]:
    yield from (("QSO_DATE", values.date(record.at)), ("TIME_ON", values.time(record.at)))
    ended = record.ended_at
    if ended is not None and ended.year >= values.EARLIEST_YEAR:
        # Readers disagree on a TIME_OFF that stands alone.
        yield from (("QSO_DATE_OFF", values.date(ended)), ("TIME_OFF", values.time(ended)))


def _precise_centre(locator: str | None) -> tuple[float, float] | None:
    """The centre of a locator that is fine enough; a coarse one is not a position, and GRIDSQUARE tells it."""
    if not locator or len(locator.strip()) < values.PRECISE_CHARACTERS:
        return None
    return centre_of(locator)


def _precise_place(shared: SharedPlace | None) -> tuple[float, float] | None:
    """A place told by packet, if no more than a tenth or a whole minute of it was held back.

    It never becomes a GRIDSQUARE: that field would say that they gave a locator, and they gave none.
    """
    place = shared.place if shared else None
    if place is None or place.cell or place.ambiguity > MOST_HELD_BACK:
        return None
    return place.lat_deg, place.lon_deg


def _position(prefix: str, place: tuple[float, float] | None) -> Iterator[Field]:
    if place is not None:
        yield f"{prefix}LAT", values.location(place[0], "NS")
        yield f"{prefix}LON", values.location(place[1], "EW")


def _cards(record: Record) -> Iterator[Field]:
    """QSLSDATE stands only beside a card that was sent, QSLRDATE only beside one that came."""
    cards = record.cards
    if cards.sent_on is not None:
        yield from (
            ("QSL_SENT", "Y"),
            ("QSLSDATE", _day(cards.sent_on)),
            ("QSL_SENT_VIA", _VIA.get(cards.sent_via or "", "")),
        )
    elif cards.promised:
        yield "QSL_SENT", "Q"
    if cards.received_on is not None:
        yield from (
            ("QSL_RCVD", "Y"), ("QSLRDATE", _day(cards.received_on)), ("QSL_RCVD_VIA", _VIA.get(cards.received_via or "", ""))
        )  # fmt: skip


def _day(on: date) -> str:
    return f"{on:%Y%m%d}" if on.year >= values.EARLIEST_YEAR else ""
