"""Loss over a smooth round earth, within the horizon and beyond.

Source: ITU-R P.526, section 3.2 (first term of the residue series, and the interpolation within the horizon),
in the form that ITU-R P.1812 gives it in its section 4.3.2. Distances here in km and frequencies in GHz, as there.
"""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Ground:
    """Electrical constants: relative permittivity, and conductivity in siemens a metre."""

    permittivity: float
    siemens_a_metre: float


LAND = Ground(22.0, 0.003)
"""Average land (ITU-R P.1812, table of section 4.3.3)."""
SEA = Ground(80.0, 5.0)
"""Salt water (the same)."""


@dataclass(frozen=True, slots=True)
class Setting:
    """What stays the same along a path: frequency, effective earth radius, polarization, ground."""

    hertz: float
    radius_m: float
    vertical: bool = True
    ground: Ground = LAND


_NO_HEIGHT_M = 1e-6
"""Less than this drowns in rounding."""


def round_earth_loss_db(distance_m: float, height1_m: float, height2_m: float, setting: Setting) -> float:
    """Return the diffraction loss over a smooth earth, beyond free space, in dB, 0 or more.

    Heights of both antennas in metres above the smooth earth, 0 or more; distance above zero.
    """
    if distance_m <= 0 or height1_m < 0 or height2_m < 0:
        raise ValueError("a distance is above zero, and heights over the smooth earth are not negative")
    # The Recommendation counts from the higher antenna; so the loss is the same both ways to the last digit.
    height1_m, height2_m = max(height1_m, height2_m), min(height1_m, height2_m)
    height2_m = height2_m if height2_m > _NO_HEIGHT_M else 0.0
    d, radius = distance_m / 1000, setting.radius_m / 1000
    horizon = math.sqrt(2 * radius) * (math.sqrt(0.001 * height1_m) + math.sqrt(0.001 * height2_m))
    if d >= horizon:
        return max(0.0, _first_term_db(d, height1_m, height2_m, radius, setting))
    clearance, required = _clearance_m(d, height1_m, height2_m, radius, setting.hertz)
    if clearance > required:
        return 0.0
    # The radius at which this distance would be just the horizon.
    touching = 500 * (d / (math.sqrt(height1_m) + math.sqrt(height2_m))) ** 2
    loss = _first_term_db(d, height1_m, height2_m, touching, setting)
    # An antenna on the ground itself has no room and needs none: the whole loss is its limit.
    part = clearance / required if required > 0 else 0.0
    return 0.0 if loss < 0 else (1 - part) * loss


def _clearance_m(
    d: float, height1_m: float, height2_m: float, radius: float, hertz: float
) -> tuple[float, float]:
    """Return the smallest height of the ray over the earth, and what would be needed for no loss."""
    total = height1_m + height2_m
    c = (height1_m - height2_m) / total
    m = 250 * d * d / (radius * total)
    b = 2 * math.sqrt((m + 1) / (3 * m))
    # Rounding alone can push the argument beyond 1, where the stations just see each other.
    argument = min(1.0, max(-1.0, 1.5 * c * math.sqrt(3 * m / (m + 1) ** 3)))
    b *= math.cos(math.pi / 3 + math.acos(argument) / 3)
    d1 = d / 2 * (1 + b)
    d2 = d - d1
    clearance = ((height1_m - 500 * d1 * d1 / radius) * d2 + (height2_m - 500 * d2 * d2 / radius) * d1) / d
    wave_m = 299_792_458.0 / hertz
    return clearance, 17.456 * math.sqrt(max(0.0, d1 * d2 * wave_m / d))


def _first_term_db(d: float, height1_m: float, height2_m: float, radius: float, setting: Setting) -> float:
    f = setting.hertz / 1e9
    e, s = setting.ground.permittivity, setting.ground.siemens_a_metre
    k: float = 0.036 * (radius * f) ** (-1 / 3) * ((e - 1) ** 2 + (18 * s / f) ** 2) ** -0.25
    if setting.vertical:
        k *= math.sqrt(e * e + (18 * s / f) ** 2)
    beta = (1 + 1.6 * k**2 + 0.67 * k**4) / (1 + 4.5 * k**2 + 1.53 * k**4)
    x: float = 21.88 * beta * (f / radius**2) ** (1 / 3) * d
    unit: float = 0.9575 * beta * (f * f / radius) ** (1 / 3)
    gains = _height_gain_db(unit * height1_m, beta, k) + _height_gain_db(unit * height2_m, beta, k)
    return float(-_distance_term_db(x) - gains)


def _distance_term_db(x: float) -> float:
    if x >= 1.6:
        return 11 + 10 * math.log10(x) - 17.6 * x
    return -20 * math.log10(x) - 5.6488 * float(x**1.425)


def _height_gain_db(y: float, beta: float, k: float) -> float:
    least = 2 + 20 * math.log10(k)
    b = beta * y
    if b > 2:
        gain = 17.6 * math.sqrt(b - 1.1) - 5 * math.log10(b - 1.1) - 8
    elif b > 0:
        gain = 20 * math.log10(b + 0.1 * b**3)
    else:
        gain = least
    return max(least, gain)
