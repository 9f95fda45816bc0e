"""The earth as a radio wave sees it: rounder or flatter than it is, by the bending of the air."""

from __future__ import annotations

import math

EARTH_RADIUS_M = 6_371_000.0
"""Mean radius of the earth (ITU-R P.526 and P.1812)."""
MEDIAN_K = 4 / 3
"""Effective radius over true radius in the standard atmosphere (Federal Standard 1037C)."""
MEDIAN_RADIUS_M = MEDIAN_K * EARTH_RADIUS_M
"""The radius that straight rays see half of the time. Real values run from below 1 times the true radius to
ducts that follow the ground, so that a horizon is known to 15 % at best (common practice, no source)."""


def radius_from_gradient_m(refractivity_units_a_km: float) -> float:
    """Return the effective radius for a drop of refractivity in N-units a kilometre, below 157.

    Source: ITU-R P.1812, ae = 6371 * 157 / (157 - dN) km. Raises ValueError from 157 on: a duct.
    """
    if not refractivity_units_a_km < 157:
        raise ValueError("from 157 N-units a kilometre on the ray follows the ground: there is no radius")
    return EARTH_RADIUS_M * 157 / (157 - refractivity_units_a_km)


def horizon_m(height_m: float, radius_m: float = MEDIAN_RADIUS_M) -> float:
    """Return the distance of the horizon in metres from `height_m` (0 or more) above a smooth earth.

    Source: geometry, sqrt(2 k R h); 4.12 km times the root of metres for k = 4/3. Two stations: add theirs.
    """
    if not 0 <= height_m < math.inf:
        raise ValueError(f"a height over the smooth earth is 0 m or more, not {height_m:g}")
    return math.sqrt(2 * radius_m * height_m)


def bulge_m(from_first_m: float, from_last_m: float, radius_m: float = MEDIAN_RADIUS_M) -> float:
    """Return how far the round earth stands above the straight line between two points on it, in metres.

    Source: geometry, d1 d2 / (2 k R).
    """
    return from_first_m * from_last_m / (2 * radius_m)
