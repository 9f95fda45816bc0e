"""Magnetic declination by the World Magnetic Model, for somebody who points an antenna with a compass."""

from __future__ import annotations

import math
from datetime import UTC, datetime
from functools import lru_cache
from typing import Any

from msgspec import Struct

MODEL = "WMM2025 (NOAA NCEI and British Geological Survey)"
FIRST_YEAR, LAST_YEAR = 2025.0, 2030.0
"""The years that the model is made for."""
CAUTION_NANOTESLA = 6000.0
"""Below this horizontal field a compass is unreliable (caution zone of the model's report)."""


class Declination(Struct, frozen=True):
    """How far east of true north a compass points (west is negative), in degrees, and how sure that is.

    `uncertainty_deg` is the model's own (2025 error model); iron nearby can add degrees.
    """

    declination_deg: float
    uncertainty_deg: float
    compass_reliable: bool
    in_date: bool
    """Whether the date lies in the model's years."""


def declination(lat_deg: float, lon_deg: float, when: datetime, height_km: float = 0.0) -> Declination:
    """Give the declination at a place (WGS84 degrees, height above the ellipsoid in km) and time.

    Raises ValueError for a latitude beyond 90 degrees or a longitude beyond 180, which the model would take.
    """
    return declination_in_year(lat_deg, lon_deg, decimal_year(when), height_km)


def declination_in_year(lat_deg: float, lon_deg: float, year: float, height_km: float = 0.0) -> Declination:
    """Give the declination in a decimal year such as 2026.5; years outside the model's count as its nearest."""
    if not (abs(lat_deg) <= 90 and abs(lon_deg) <= 180):
        raise ValueError(
            f"{lat_deg:g}, {lon_deg:g} is not a place: latitude is -90 to 90, longitude -180 to 180"
        )
    used = min(max(year, FIRST_YEAR), LAST_YEAR)
    field = _model().calculate(glat=lat_deg, glon=lon_deg, alt=height_km, time=used)
    horizontal = max(float(field.h), 1.0)
    return Declination(
        declination_deg=float(field.d),
        uncertainty_deg=math.hypot(0.26, 5417 / horizontal),
        compass_reliable=horizontal >= CAUTION_NANOTESLA,
        in_date=FIRST_YEAR <= year < LAST_YEAR,
    )


def magnetic_bearing(true_deg: float, declination_deg: float) -> float:
    """Give what the compass shows for a true bearing: true less declination, 0 up to 360 degrees."""
    return (true_deg - declination_deg) % 360


def decimal_year(when: datetime) -> float:
    """Give a moment as a year and its fraction, in UTC."""
    utc = when.astimezone(UTC)
    start = datetime(utc.year, 1, 1, tzinfo=UTC)
    end = datetime(utc.year + 1, 1, 1, tzinfo=UTC)
    return utc.year + (utc - start) / (end - start)


@lru_cache(maxsize=1)
def _model() -> Any:
    # Only somebody who asks for a bearing pays for the coefficients (12 ms and 1 MB here).
    from pygeomag import GeoMag  # noqa: PLC0415

    return GeoMag()
