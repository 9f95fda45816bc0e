"""A wave with nothing in its way, and the room that it needs."""

from __future__ import annotations

import math

LIGHT_METRES_A_SECOND = 299_792_458.0
"""Speed of light, exact (SI)."""


def wavelength_m(hertz: float) -> float:
    """Return the wavelength in metres; ValueError unless `hertz` is a finite number above zero."""
    if not 0 < hertz < math.inf:
        raise ValueError(f"a frequency is above zero, not {hertz:g} Hz")
    return LIGHT_METRES_A_SECOND / hertz


def free_space_loss_db(hertz: float, metres: float) -> float:
    """Return the loss between isotropic antennas in free space, in dB; never below 0, where it has no meaning.

    Source: ITU-R P.525, 20 log(4 pi d / wavelength). ValueError unless both are above zero.
    """
    if not 0 < metres < math.inf:
        raise ValueError(f"a distance is above zero, not {metres:g} m")
    return max(0.0, 20 * math.log10(4 * math.pi * metres / wavelength_m(hertz)))


def fresnel_radius_m(hertz: float, from_first_m: float, from_last_m: float) -> float:
    """Return the radius of the first Fresnel zone at a point of a path, in metres.

    Source: ITU-R P.526, sqrt(wavelength d1 d2 / (d1 + d2)).
    """
    length_m = from_first_m + from_last_m
    if length_m <= 0 or min(from_first_m, from_last_m) < 0:
        raise ValueError("a point of a path lies between its ends")
    return math.sqrt(wavelength_m(hertz) * from_first_m * from_last_m / length_m)
