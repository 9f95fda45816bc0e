"""How much room a profile leaves around the line between the antennas."""

from __future__ import annotations

from dataclasses import dataclass

from fieldtui.radio.path.course import Course
from fieldtui.radio.path.earth import MEDIAN_RADIUS_M, bulge_m
from fieldtui.radio.path.free_space import fresnel_radius_m


@dataclass(frozen=True, slots=True)
class Clearance:
    """The tightest point of a path.

    `at_m` from the first antenna; `metres` between the line and the ground (negative: the ground is above the
    line); `zones` the same in radii of the first Fresnel zone. ITU-R P.526 calls a path clear from 1 zone on;
    0.6 is the looser working rule (common practice).
    """

    at_m: float
    metres: float
    zones: float


def tightest(course: Course, hertz: float, radius_m: float = MEDIAN_RADIUS_M) -> Clearance | None:
    """Return the point with the least room in Fresnel radii; None for a profile without inner points."""
    length_m = 1000 * course.length_km
    best: Clearance | None = None
    for at_km, ground_m in zip(course.distances_km[1:-1], course.heights_m[1:-1], strict=True):
        at_m, rest_m = 1000 * at_km, length_m - 1000 * at_km
        line_m = (course.antenna1_m * rest_m + course.antenna2_m * at_m) / length_m
        metres = line_m - ground_m - bulge_m(at_m, rest_m, radius_m)
        zones = metres / fresnel_radius_m(hertz, at_m, rest_m)
        if best is None or zones < best.zones:
            best = Clearance(at_m, metres, zones)
    return best
