"""How far a compass points east of north where the station is."""

from __future__ import annotations

from functools import lru_cache

from fieldtui.radio.declination import FIRST_YEAR, LAST_YEAR, declination_in_year
from fieldtui.radio.locator import cell_of


@lru_cache(maxsize=16)
def compass_east(locator: str | None, year: int) -> float | None:
    """Degrees for the middle of a year; None without a place, or where a compass is no help.

    A board without a clock may think that it is 1970: then the first year of the model is near enough,
    since the declination moves by a tenth of a degree a year at middle latitudes.
    """
    cell = cell_of(locator)
    if cell is None:
        return None
    answer = declination_in_year(
        cell.lat_deg, cell.lon_deg, min(max(year + 0.5, FIRST_YEAR), LAST_YEAR - 0.1)
    )
    return answer.declination_deg if answer.compass_reliable else None
