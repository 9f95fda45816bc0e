"""What a picture of a path shows: ground on the round earth, the line between the antennas, the Fresnel zone.

Heights are drawn over the straight line between the ends at sea level: the earth's bulge (effective radius,
k = 4/3) is added to the ground, so that the ray is a straight line.
"""

from __future__ import annotations

from dataclasses import dataclass

from fieldtui.planning.profile import TerrainProfile
from fieldtui.radio.path.earth import bulge_m
from fieldtui.radio.path.free_space import fresnel_radius_m


@dataclass(frozen=True, slots=True)
class Column:
    """One stretch of a path: the highest ground in it, the line, and half the first Fresnel zone, in metres."""

    at_m: float
    ground_m: float
    line_m: float
    zone_m: float

    @property
    def blocked(self) -> bool:
        """Whether the ground stands above the line."""
        return self.ground_m > self.line_m


def columns(
    profile: TerrainProfile, height1_m: float, height2_m: float, hertz: float, count: int
) -> list[Column]:
    """Return `count` (2 or more) columns from one end to the other; a narrow ridge is in one of them."""
    length_m, last = profile.length_m, len(profile.heights_m) - 1
    drawn = []
    for number, (low, high) in enumerate(span_steps(last, count)):
        highest = max(range(low, high + 1), key=lambda index: _raised(profile, index))
        at_m = min(length_m, length_m * number / (count - 1))
        drawn.append(
            Column(
                at_m,
                _raised(profile, highest),
                height1_m + (height2_m - height1_m) * number / (count - 1),
                fresnel_radius_m(hertz, at_m, length_m - at_m),
            )
        )
    return drawn


def span_steps(last: int, count: int) -> list[tuple[int, int]]:
    """Return for each of `count` equal steps (2 or more) from 0 to `last` the first and last whole number near it."""
    return [
        (
            round(max(0.0, (number - 0.5) / (count - 1)) * last),
            round(min(1.0, (number + 0.5) / (count - 1)) * last),
        )
        for number in range(count)
    ]


def _raised(profile: TerrainProfile, index: int) -> float:
    at_m = profile.distances_m[index]
    return profile.heights_m[index] + bulge_m(at_m, profile.length_m - at_m)


def span_m(drawn: list[Column]) -> tuple[float, float]:
    """Return the lowest and the highest of what is drawn; at least 10 m apart."""
    low = min(min(column.ground_m, column.line_m) for column in drawn)
    high = max(max(column.ground_m, column.line_m + column.zone_m) for column in drawn)
    return low, max(high, low + 10)
