"""Distances and bearings between two places."""

from __future__ import annotations

from functools import lru_cache

from fieldtui.radio.geodesy import Path, path_between
from fieldtui.radio.locator import cell_of

Point = tuple[float, float]
"""Degrees north and east."""


def centre_of(locator: str | None) -> Point | None:
    """The middle of a locator's cell, if it is one."""
    cell = cell_of(locator)
    return (cell.lat_deg, cell.lon_deg) if cell else None


@lru_cache(maxsize=4096)
def path_of_locators(here: str | None, there: str | None) -> Path | None:
    """Distance and bearings between the centres of two locators, if both are known and sound."""
    return path_of_points(centre_of(here), centre_of(there))


@lru_cache(maxsize=4096)
def path_of_points(here: Point | None, there: Point | None) -> Path | None:
    """Distance and bearings from here, where both places are known."""
    return None if here is None or there is None else path_between(*here, *there)
