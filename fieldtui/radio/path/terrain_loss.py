"""Diffraction over any ground: the hills, and the round earth that carries them.

Source: ITU-R P.526, section 4.5.3 (the same in ITU-R P.1812, sections 4.3.4 and 4.3.5, and its Attachment 1,
section 5.6, for the smooth surface): the loss of the Bullington ridge over the true profile, plus what a smooth
earth costs more than a Bullington ridge over that smooth earth.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from fieldtui.radio.path.bullington import Ridge, bullington
from fieldtui.radio.path.course import Course
from fieldtui.radio.path.round_earth import Setting, round_earth_loss_db
from fieldtui.radio.path.sums import PLAIN, Sums


@dataclass(frozen=True, slots=True)
class TerrainLoss:
    """The loss in dB beyond free space, and what it is made of.

    `ridge` stands for the hills, `round_earth_db` is what the smooth earth adds. The heights are those of the
    antennas above a smooth surface through the ground, in metres.
    """

    loss_db: float
    ridge: Ridge
    round_earth_db: float
    height1_m: float
    height2_m: float


def terrain_loss(course: Course, setting: Setting, sums: Sums = PLAIN) -> TerrainLoss:
    """Return the diffraction loss over a profile."""
    ridge = bullington(course, setting.hertz, setting.radius_m, sums)
    level1, level2 = _smooth_levels(course, sums)
    height1_m, height2_m = max(0.0, course.antenna1_m - level1), max(0.0, course.antenna2_m - level2)
    flat = Course(course.distances_km, sums.flat(len(course.distances_km)), height1_m, height2_m)
    smooth = bullington(flat, setting.hertz, setting.radius_m, sums)
    sphere_db = round_earth_loss_db(1000 * course.length_km, height1_m, height2_m, setting)
    added = max(0.0, sphere_db - smooth.loss_db)
    return TerrainLoss(ridge.loss_db + added, ridge, added, height1_m, height2_m)


def _smooth_levels(course: Course, sums: Sums) -> tuple[float, float]:
    """Return the level of the smooth surface under both antennas, never above the ground there."""
    d, h, length = course.distances_km, course.heights_m, course.length_km
    first, second = sums.areas(d, h)
    level1 = (2 * first * length - second) / length**2
    level2 = (second - first * length) / length**2
    if len(d) > 2:
        over, slope1, slope2 = sums.obstruction(d, h, course.antenna1_m, course.antenna2_m)
        if over > 0:
            level1 -= over * slope1 / (slope1 + slope2)
            level2 -= over * slope2 / (slope1 + slope2)
    if not (math.isfinite(level1) and math.isfinite(level2)):
        raise ValueError("a profile has heights that are no numbers")
    return min(level1, float(h[0])), min(level2, float(h[-1]))
