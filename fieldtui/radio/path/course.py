"""The ground between two antennas."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Course:
    """A profile with its antennas: distances in km from 0 on, ground and antennas in metres above one level.

    Antennas stand on the ground or above it.
    """

    distances_km: Sequence[float]
    heights_m: Sequence[float]
    antenna1_m: float
    antenna2_m: float

    def __post_init__(self) -> None:
        """Refuse a profile that is none."""
        if len(self.distances_km) < 2 or len(self.distances_km) != len(self.heights_m):
            raise ValueError("a profile has two points or more, each with a distance and a height")
        if self.distances_km[-1] <= 0:
            raise ValueError("a profile has a length above zero")

    @property
    def length_km(self) -> float:
        """From the first antenna to the last."""
        return float(self.distances_km[-1])
