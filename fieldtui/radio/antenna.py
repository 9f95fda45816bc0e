"""Lengths of simple antennas: a starting point for cutting, longer than needed, then trimmed by the meter."""

from __future__ import annotations

from math import isfinite

from msgspec import Struct

from fieldtui.radio.feed_line import check_mhz

LIGHT_METRES_PER_MICROSECOND = 299.792458
"""Speed of light in vacuum, exact by the definition of the metre: metres of one wave = this / MHz."""

WIRE_FACTOR = 0.95
"""How much shorter a wire is than a wave in free space (common practice; the handbook rule 468 / MHz feet for a half
wave amounts to 0.951)."""

KINDS = {"quarter": 0.25, "half": 0.5, "five-eighths": 0.625}
"""Kinds of antenna, each with its length in waves."""


class Length(Struct, frozen=True):
    """A length in metres, with its parts: waves, the wave in free space, and the factor of the conductor."""

    metres: float
    waves: float
    wavelength_metres: float
    velocity: float


def wavelength_metres(mhz: float) -> float:
    """Give the wavelength in free space. Raises ValueError for a frequency out of range."""
    check_mhz(mhz)
    return LIGHT_METRES_PER_MICROSECOND / mhz


def antenna_length(mhz: float, kind: str, velocity: float = WIRE_FACTOR) -> Length:
    """Give the length to cut for a kind of antenna: waves times wavelength times the factor.

    `velocity` is 1 for free space, about 0.95 for a wire, and a cable's velocity factor for a piece of cable.
    Raises ValueError, with what is accepted, for anything else.
    """
    waves = KINDS.get(kind.strip().lower())
    if waves is None:
        raise ValueError(f"{kind[:20]!a} is not a kind of antenna: use one of {', '.join(KINDS)}")
    if not (isfinite(velocity) and 0 < velocity <= 1):
        raise ValueError(
            f"a velocity factor of {velocity:g} is not possible: give more than 0 and at most 1, 0.95 for a wire"
        )
    wave = wavelength_metres(mhz)
    return Length(wave * waves * velocity, waves, wave, velocity)
