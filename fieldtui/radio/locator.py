"""Locators: cells of the IARU grid, from text and from coordinates.

The grid counts longitude east from 180 W and latitude north from 90 S on WGS 84; longitude comes first in
each pair: A-R, 0-9, A-X, 0-9. A fifth pair A-X is the usual extension, not defined by the IARU (common
practice, no source). A locator names a cell, so a point is floored into it, never rounded to the nearest.

The spelling is left to the `maidenhead` package; what is handed to it is always the centre of a cell already
decided here in whole numbers, because the package (1.8.0) rounds before it floors, misspells two characters,
wraps the north pole to the south, and accepts coordinates and locators that do not exist.
"""

from __future__ import annotations

import re
from functools import lru_cache

from msgspec import Struct

LENGTHS = (2, 4, 6, 8, 10)

_SHAPE = re.compile(r"[A-R]{2}(?:[0-9]{2}(?:[A-X]{2}(?:[0-9]{2}(?:[A-X]{2})?)?)?)?", re.IGNORECASE)
_CELLS_A_TURN = {2: 18, 4: 180, 6: 4320, 8: 43200, 10: 1036800}
_NANO = 10**9


class LocatorError(ValueError):
    """The text is not a locator, or the coordinates lie outside the grid."""


class Cell(Struct, frozen=True):
    """One cell of the grid: its locator and its four edges in degrees, WGS 84."""

    locator: str
    south_deg: float
    west_deg: float
    north_deg: float
    east_deg: float

    @property
    def lat_deg(self) -> float:
        """Latitude of the centre, the point to measure from."""
        return (self.south_deg + self.north_deg) / 2

    @property
    def lon_deg(self) -> float:
        """Longitude of the centre."""
        return (self.west_deg + self.east_deg) / 2


def is_locator(text: str) -> bool:
    """Tell whether `text` is a locator of 2, 4, 6, 8 or 10 characters, in either case."""
    # IGNORECASE lets a few letters beyond ASCII (such as the long s) stand for a plain one.
    return text.isascii() and _SHAPE.fullmatch(text) is not None


def read_locator(text: str) -> Cell:
    """Return the cell that a locator names; blanks around it and its case do not matter.

    Raises LocatorError when the text is not a locator of 2, 4, 6, 8 or 10 characters.
    """
    from maidenhead import to_location_rect  # noqa: PLC0415

    word = text.strip()
    if not is_locator(word):
        raise LocatorError(_what_is_wrong(word))
    (south_deg, west_deg), (north_deg, east_deg), _ = to_location_rect(word)
    return Cell(_cased(word), south_deg, west_deg, north_deg, east_deg)


@lru_cache(maxsize=4096)
def cell_of(text: str | None) -> Cell | None:
    """The cell of a locator, or None for what is none; stations come again and again."""
    try:
        return read_locator(text or "")
    except LocatorError:
        return None


def locator_of(lat_deg: float, lon_deg: float, digits: int = 6) -> str:
    """Return the locator of a point, `digits` characters long (2, 4, 6, 8 or 10).

    `lat_deg` lies in -90 to 90 and `lon_deg` in -360 to 360, where 180 and -180 are one meridian. Coordinates
    are taken to the nearest 1e-9 degree, so that a decimal that lies on an edge belongs to the cell
    north-east of it whatever its binary form. The north pole belongs to the cells south of it.
    Raises LocatorError for coordinates outside those ranges and for other lengths.
    """
    from maidenhead import to_maiden  # noqa: PLC0415

    if digits not in LENGTHS:
        raise LocatorError(f"a locator has 2, 4, 6, 8 or 10 characters, not {digits}")
    if not -90 <= lat_deg <= 90:
        raise LocatorError(f"latitude must lie between -90 and 90 degrees, not {lat_deg:g}")
    if not -360 <= lon_deg <= 360:
        raise LocatorError(f"longitude must lie between -180 and 180 degrees, not {lon_deg:g}")
    cells = _CELLS_A_TURN[digits]
    row = min((_nano(lat_deg) + 90 * _NANO) * cells // (180 * _NANO), cells - 1)
    column = (_nano(lon_deg) + 180 * _NANO) * cells // (360 * _NANO) % cells
    centre_lat_deg = (2 * row + 1) * 90 / cells - 90
    centre_lon_deg = (2 * column + 1) * 180 / cells - 180
    if digits == 2:
        # The package gets two characters wrong; the centre of a field is the corner of its square 55.
        return str(to_maiden(centre_lat_deg + 0.5, centre_lon_deg + 1, 2))[:2]
    return _cased(to_maiden(centre_lat_deg, centre_lon_deg, digits // 2))


def _nano(degrees: float) -> int:
    """Return an angle in whole billionths of a degree, rounded exactly from its binary value."""
    numerator, denominator = degrees.as_integer_ratio()
    return (2 * numerator * _NANO + denominator) // (2 * denominator)


def _cased(locator: str) -> str:
    """Return a locator as it is written: field upper case, subsquare lower, fifth pair upper."""
    upper = locator.upper()
    return upper[:4] + upper[4:6].lower() + upper[6:]


def _what_is_wrong(word: str) -> str:
    if not word:
        return "no locator given: write one such as CN94 or CN94hb"
    if len(word) not in LENGTHS:
        return f"a locator has 2, 4, 6, 8 or 10 characters, not {len(word)}"
    return (
        f"{word[:10]!a} is not a locator: two letters A to R, two digits, two letters A to X, two digits, "
        "two letters A to X, as many of these pairs as are known"
    )
