"""Distances and bearings from here to the stations that were worked."""

from __future__ import annotations

from functools import lru_cache

from fieldtui.radio.geodesy import Path, path_between
from fieldtui.radio.locator import cell_of
from fieldtui.session.contacts import Contact


@lru_cache(maxsize=4096)
def path_of_locators(here: str | None, there: str | None) -> Path | None:
    """Distance and bearings between the centres of two locators, if both are known and sound."""
    a, b = cell_of(here), cell_of(there)
    return path_between(a.lat_deg, a.lon_deg, b.lat_deg, b.lon_deg) if a and b else None


def path_of(contact: Contact) -> Path | None:
    """From where the station was when the contact was logged."""
    return path_of_locators(contact.own_locator, contact.locator)
