"""All hills of a path as one ridge where the two tangents meet.

Source: ITU-R P.526, section 4.5.1 (the same in ITU-R P.1812, section 4.3.1).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from fieldtui.radio.path.course import Course
from fieldtui.radio.path.free_space import wavelength_m
from fieldtui.radio.path.knife_edge import knife_edge_db
from fieldtui.radio.path.sums import PLAIN, Sums


@dataclass(frozen=True, slots=True)
class Ridge:
    """What the hills come to: the loss in dB, the parameter of the one ridge, and where it stands.

    `clear` tells whether the antennas see each other over the earth of this radius; then `nu` is that of the
    point that comes nearest the line, and `at_m` is None.
    """

    loss_db: float
    nu: float
    clear: bool
    at_m: float | None


NOTHING = Ridge(0.0, -math.inf, clear=True, at_m=None)
"""A profile without inner points: nothing stands between."""


def bullington(course: Course, hertz: float, radius_m: float, sums: Sums = PLAIN) -> Ridge:
    """Return the ridge that stands for a profile, over an earth of effective radius `radius_m`."""
    if len(course.distances_km) < 3:
        return NOTHING
    distances_km, heights_m, length = course.distances_km, course.heights_m, course.length_km
    antenna1_m, antenna2_m, curve = course.antenna1_m, course.antenna2_m, 500_000 / radius_m
    wave_m = wavelength_m(hertz)
    first = sums.steepest_from_first(distances_km, heights_m, antenna1_m, curve)
    if first < (antenna2_m - antenna1_m) / length:
        height = sums.largest_height(distances_km, heights_m, antenna1_m, antenna2_m, curve)
        nu = height / math.sqrt(wave_m)
        return Ridge(_whole_db(nu, length), nu, clear=True, at_m=None)
    last = sums.steepest_from_last(distances_km, heights_m, antenna2_m, curve)
    at = (antenna2_m - antenna1_m + last * length) / (first + last)
    above = antenna1_m + first * at - (antenna1_m * (length - at) + antenna2_m * at) / length
    nu = above * math.sqrt(0.002 * length / (wave_m * at * (length - at)))
    return Ridge(_whole_db(nu, length), nu, clear=False, at_m=1000 * at)


def _whole_db(nu: float, length_km: float) -> float:
    loss = knife_edge_db(nu)
    return loss + (1 - math.exp(-loss / 6)) * (10 + 0.02 * length_km)
