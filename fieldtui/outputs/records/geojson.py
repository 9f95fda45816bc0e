"""Contacts, stations and the paths between them as GeoJSON (RFC 7946). Pure: records in, bytes out.

Positions are longitude, latitude on WGS 84, six decimals. Heights are left out: the format counts them from the
ellipsoid, and what is known is a height above sea level.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from typing import Any

from fieldtui.journal.rfc3339 import rfc3339
from fieldtui.outputs.records.fold import Record, own_place, text_of
from fieldtui.outputs.records.great_circle import Point, great_circle
from fieldtui.outputs.records.map_bounds import MapBounds

DECIMALS = 6
"""About ten centimetres; more is noise (RFC 7946, 11.2)."""
MOST_STATIONS = 1000

HEADER = b'{"type":"FeatureCollection","features":['

Position = list[float]


class Features:
    """Writes a point for each contact and each place of this station, and a line for each path between them.

    A contact whose place is not known is there too, without a geometry.
    """

    def __init__(self) -> None:
        self.without_place = 0
        self._bounds = MapBounds()
        self._stations: set[Point] = set()
        self._first = True

    def parts(self, record: Record) -> Iterator[bytes]:
        """What a record adds to the list of features."""
        here, there = own_place(record), record.facts.where.there
        if here and (here[1], here[0]) not in self._stations and len(self._stations) < MOST_STATIONS:
            self._stations.add((here[1], here[0]))
            yield self._feature(self._point(here), _of_station(record))
        self.without_place += there is None
        yield self._feature(self._point(there) if there else None, _of_contact(record), record.contact.id)
        if here and there and (lines := self._lines(here, there)):
            yield self._feature(lines, {"kind": "path", "call": text_of(record.contact.call, 30)})

    def footer(self) -> bytes:
        """The end, with the box that holds everything."""
        box = self._bounds.box()
        bbox = f',"bbox":{_json([_rounded(value) for value in box])}' if box else ""
        return f"\n]{bbox}}}\n".encode()

    def _feature(
        self, geometry: dict[str, Any] | None, properties: dict[str, Any], name: str | None = None
    ) -> bytes:
        feature: dict[str, Any] = {"type": "Feature"}
        if name is not None:
            feature["id"] = text_of(name, 100)
        comma, self._first = ("" if self._first else ","), False
        return f"{comma}\n{_json({**feature, 'geometry': geometry, 'properties': properties})}".encode()

    def _point(self, place: tuple[float, float]) -> dict[str, Any]:
        position = _position((place[1], place[0]))
        self._bounds.add(position[0], position[1])
        return {"type": "Point", "coordinates": position}

    def _lines(self, here: tuple[float, float], there: tuple[float, float]) -> dict[str, Any] | None:
        parts = [_positions(part) for part in great_circle(*here, *there)]
        parts = [part for part in parts if len(part) > 1]
        for part in parts:
            self._bounds.add_line(part)
        if not parts:
            return None
        if len(parts) == 1:
            return {"type": "LineString", "coordinates": parts[0]}
        return {"type": "MultiLineString", "coordinates": parts}


def _of_station(record: Record) -> dict[str, Any]:
    contact = record.contact
    return {
        "kind": "station",
        "call": text_of(record.station_call, 30) or None,
        "place": text_of(contact.own_place, 200) or None,
        "locator": text_of(contact.own_locator, 12) or None,
        "position_from": "receiver" if contact.own_lat_deg is not None else "centre of the locator",
        "height_m": contact.own_height_metres,
    }


def _of_contact(record: Record) -> dict[str, Any]:
    contact, where = record.contact, record.facts.where
    texts = {
        name: text_of(getattr(contact, name)) or None
        for name in ("call", "sent", "received", "name", "place", "locator", "mode", "remarks")
    }
    return {
        "kind": "contact",
        "journal": record.journal,
        "number": contact.number,
        "at": rfc3339(record.at),
        **texts,
        "hertz": contact.hertz,
        "transmit_hertz": contact.transmit_hertz,
        "band": record.band or None,
        "watts": contact.watts,
        "distance_m": None if where.distance_m is None else round(where.distance_m, 1),
        "bearing_deg": None if where.bearing_deg is None else round(where.bearing_deg, 2),
        "position_from": where.source_words,
        "card_promised": record.cards.promised,
    }


def _position(point: Point) -> Position:
    return [_rounded(point[0]), _rounded(point[1])]


def _positions(part: Sequence[Point]) -> list[Position]:
    """Rounded, without one that says the same as the one before it."""
    rounded = [_position(point) for point in part]
    return [point for number, point in enumerate(rounded) if not number or point != rounded[number - 1]]


def _rounded(degrees: float) -> float:
    # Adding zero takes the sign from a zero.
    return round(degrees, DECIMALS) + 0.0


def _json(value: Any) -> str:
    """Compact, and with no `<` in it, so that it may stand in a page too."""
    text = json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    return text.replace("<", "\\u003c")
