"""Distances and bearings in words."""

from __future__ import annotations

from fieldtui.radio.geodesy import compass_point
from fieldtui.radio.units import format_distance


def distance_words(
    distance_m: float | None, bearing_deg: float | None, *, miles: bool = False, alone: bool = False
) -> str:
    """`41 km NE`; nothing if the distance is not known. Both from centres of squares.

    `alone` leaves the direction out; otherwise no bearing means one and the same square.
    """
    if distance_m is None:
        return ""
    if bearing_deg is None and not alone:
        return "same square"
    words = format_distance(distance_m, "mi" if miles else "km")
    return words if bearing_deg is None else f"{words} {compass_point(bearing_deg)}"
