"""Loss over one sharp ridge."""

from __future__ import annotations

import math

LEAST_NU = -0.78
"""Below this the ridge is so far under the line that it does nothing."""


def knife_edge_db(nu: float) -> float:
    """Return the loss in dB over a knife edge of parameter `nu`; 6 dB where it just touches the line.

    Source: ITU-R P.526, section 4.1: 6.9 + 20 log(sqrt((v - 0.1)^2 + 1) + v - 0.1) for v above -0.78, else 0.
    At most 0.13 dB away from the Fresnel integrals for v from -0.78 to 10.
    """
    if nu <= LEAST_NU:
        return 0.0
    return 6.9 + 20 * math.log10(math.hypot(nu - 0.1, 1) + nu - 0.1)


def edge_nu(above_line_m: float, from_first_m: float, from_last_m: float, wave_m: float) -> float:
    """Return the parameter of an edge `above_line_m` over the direct line (below it: negative).

    Source: ITU-R P.526, v = h sqrt(2 / wavelength (1 / d1 + 1 / d2)).
    """
    return above_line_m * math.sqrt(2 / wave_m * (1 / from_first_m + 1 / from_last_m))
