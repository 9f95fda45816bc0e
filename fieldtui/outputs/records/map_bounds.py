"""The smallest box around points and lines on the globe, found one point after the other. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

_BINS = 720
"""Half a degree each: the box is exact, only which gap is the widest is judged this coarsely."""

Box = tuple[float, float, float, float]
"""West, south, east, north in degrees; west is greater than east where the box crosses 180 (RFC 7946, 5.2)."""


class MapBounds:
    """Remembers the least and the greatest longitude of each stripe of the globe, and no points."""

    def __init__(self) -> None:
        self._west: list[float | None] = [None] * _BINS
        self._east: list[float | None] = [None] * _BINS
        self._south, self._north = 90.0, -90.0

    def add(self, lon_deg: float, lat_deg: float) -> None:
        """A point; longitude from -180 to 180."""
        self._south, self._north = min(self._south, lat_deg), max(self._north, lat_deg)
        self._add_lon(lon_deg)

    def add_line(self, points: Sequence[Sequence[float]]) -> None:
        """A line, straight on the map from point to point, which does not cross 180."""
        for lon_deg, lat_deg in points:
            self.add(lon_deg, lat_deg)
        for (one, _), (other, _) in pairwise(points):
            low, high = sorted((one, other))
            for stripe in range(_bin(low) + 1, _bin(high) + 1):
                self._add_lon(_edge(stripe))
                self._touch(stripe - 1, _edge(stripe))

    def box(self) -> Box | None:
        """The box, or None if nothing was added."""
        filled = [number for number in range(_BINS) if self._west[number] is not None]
        if not filled:
            return None
        gaps = [
            (self._gap(one, other), other)
            for one, other in zip(filled, [*filled[1:], filled[0]], strict=True)
        ]
        gap, first = max(gaps, key=lambda each: each[0])
        last = filled[filled.index(first) - 1]
        if gap <= 0 and len(filled) > 1:
            return -180.0, self._south, 180.0, self._north
        west, east = self._west[first], self._east[last]
        assert west is not None
        assert east is not None
        return west, self._south, east, self._north

    def _gap(self, one: int, other: int) -> float:
        """Degrees of nothing from one filled stripe eastwards to the next."""
        east, west = self._east[one], self._west[other]
        assert west is not None
        assert east is not None
        return west - east if other > one else west + 360 - east

    def _add_lon(self, lon_deg: float) -> None:
        self._touch(_bin(lon_deg), lon_deg)

    def _touch(self, stripe: int, lon_deg: float) -> None:
        west, east = self._west[stripe], self._east[stripe]
        self._west[stripe] = lon_deg if west is None else min(west, lon_deg)
        self._east[stripe] = lon_deg if east is None else max(east, lon_deg)


def _bin(lon_deg: float) -> int:
    return min(_BINS - 1, max(0, int((lon_deg + 180) * _BINS / 360)))


def _edge(stripe: int) -> float:
    return stripe * 360 / _BINS - 180
