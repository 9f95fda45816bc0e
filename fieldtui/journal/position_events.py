"""Where a position receiver says that the station is."""

from __future__ import annotations

from fieldtui.journal.event_types import Count, Event, Number, Text


class PositionFixed(Event, frozen=True, kw_only=True):
    """A usable position, recorded by change. WGS 84 degrees; `height_metres` is above mean sea level."""

    feed: Text
    lat_deg: Number
    lon_deg: Number
    height_metres: Number | None = None
    fix: Text | None = None
    satellites: Count | None = None
    hdop: Number | None = None
    dimensions: Count | None = None
    speed_metres_per_second: Number | None = None
    course_deg: Number | None = None


POSITION_KINDS: dict[str, type[Event]] = {"position-fixed": PositionFixed}
POSITION_TELEMETRY: frozenset[type[Event]] = frozenset({PositionFixed})
