"""Distances and bearings in words."""

from __future__ import annotations

from fieldtui.radio.geodesy import compass_point
from fieldtui.radio.units import format_distance


def distance_words(distance_m: float | None, bearing_deg: float | None, *, miles: bool = False) -> str:
    """`41 km NE`; nothing if the distance is not known. Both from centres of squares."""
    if distance_m is None:
        return ""
    if bearing_deg is None:
        return "same square"
    return f"{format_distance(distance_m, 'mi' if miles else 'km')} {compass_point(bearing_deg)}"
