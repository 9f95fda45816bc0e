"""Contacts, stations and tracks as GPX 1.1 (schema http://www.topografix.com/GPX/1/1). Pure.

Places of contacts are the centres of their locators; each says so. The order of elements is part of the schema.
XML 1.0 has no way to hold most control characters: the cleaning of outside text leaves none.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from xml.sax.saxutils import escape, quoteattr

from fieldtui import __version__
from fieldtui.journal.position_events import PositionFixed
from fieldtui.journal.rfc3339 import rfc3339
from fieldtui.outputs.records.fold import JournalRead, Record, own_place, text_of
from fieldtui.radio.frequency import format_megahertz

MOST_STATIONS = 1000
"""Places of this station that are remembered, so that each is written once."""


def header(created: datetime) -> bytes:
    """The opening tags."""
    creator = quoteattr(f"fieldtui {__version__}")
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<gpx version="1.1" creator={creator} xmlns="http://www.topografix.com/GPX/1/1">\n'
        f"<metadata><time>{_time(created)}</time></metadata>\n"
    ).encode()


FOOTER = b"</gpx>\n"


class Waypoints:
    """Writes a waypoint for each contact whose place is known, and one for each place of this station."""

    def __init__(self) -> None:
        self.without_place = 0
        self._stations: set[tuple[float, float]] = set()

    def lines(self, record: Record) -> Iterator[bytes]:
        """The waypoints that a record adds."""
        here = own_place(record)
        if here and here not in self._stations and len(self._stations) < MOST_STATIONS:
            self._stations.add(here)
            yield _station(record, here)
        there = record.facts.where.there
        if there is None:
            self.without_place += 1
            return
        yield _contact(record, there)


def _station(record: Record, place: tuple[float, float]) -> bytes:
    contact = record.contact
    measured = contact.own_lat_deg is not None
    where = "by a position receiver" if measured else f"centre of {text_of(contact.own_locator, 12)}"
    words = ", ".join(filter(None, (text_of(contact.own_place, 100), where)))
    height = contact.own_height_metres if measured else None
    return _waypoint(
        place,
        text_of(record.station_call or record.operator_call, 30) or "station",
        words,
        "station",
        height=height,
    )


def _contact(record: Record, place: tuple[float, float]) -> bytes:
    contact = record.contact
    megahertz = f"{format_megahertz(contact.hertz)} MHz" if contact.hertz else ""
    parts = (
        " ".join(filter(None, (text_of(contact.sent, 20), text_of(contact.received, 20)))),
        f"{megahertz} {text_of(contact.mode, 20)}".strip(),
        text_of(contact.name, 100),
        text_of(contact.place, 100),
        text_of(contact.remarks, 500),
        "as told by packet"
        if record.facts.where.source == "packet"
        else f"centre of {text_of(contact.locator, 12)}",
    )
    words = ", ".join(filter(None, parts))
    return _waypoint(place, text_of(contact.call, 30) or "contact", words, "contact", at=record.at)


def _waypoint(
    place: tuple[float, float],
    name: str,
    words: str,
    kind: str,
    *,
    at: datetime | None = None,
    height: float | None = None,
) -> bytes:
    return (
        f"<wpt {_at(*place)}>{_height(height)}{_when(at)}<name>{escape(name)}</name>"
        f"<desc>{escape(words)}</desc><type>{kind}</type></wpt>\n"
    ).encode()


def track(journal: JournalRead) -> Iterator[bytes]:
    """The way of the station, if a receiver told it: a segment for each boot, since no time is known between."""
    boot = ""
    for fix, moment in journal.fixes():
        if not boot:
            yield f"<trk><name>{escape(journal.name)}</name><trkseg>\n".encode()
        elif moment.boot != boot:
            yield b"</trkseg><trkseg>\n"
        boot = moment.boot
        yield _point(fix, journal.state.true_at(moment))
    if boot:
        yield b"</trkseg></trk>\n"


def _point(fix: PositionFixed, at: datetime) -> bytes:
    place = _at(fix.lat_deg, fix.lon_deg)
    return f"<trkpt {place}>{_height(fix.height_metres)}{_when(at)}</trkpt>\n".encode()


def _at(lat_deg: float, lon_deg: float) -> str:
    """Attributes; longitude is below 180 by the schema, so that the antimeridian has one name."""
    lon = round(lon_deg, 7)
    return f'lat="{lat_deg:.7f}" lon="{-180.0 if lon >= 180 else lon:.7f}"'


def _height(metres: float | None) -> str:
    return "" if metres is None else f"<ele>{metres:.1f}</ele>"


def _when(at: datetime | None) -> str:
    return f"<time>{_time(at)}</time>" if at else ""


def _time(at: datetime) -> str:
    return rfc3339(at) or ""
