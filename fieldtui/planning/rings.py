"""How far a signal reaches over a smooth earth."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

from fieldtui.radio.path.earth import MEDIAN_RADIUS_M
from fieldtui.radio.path.free_space import free_space_loss_db
from fieldtui.radio.path.link import Radios, slant_m
from fieldtui.radio.path.round_earth import Setting, round_earth_loss_db

_NEAREST_M, _FARTHEST_M, _STEP = 1.0, 2_000_000.0, 1.05
_CLOSE_ENOUGH_M = 0.5


@dataclass(frozen=True, slots=True)
class Ring:
    """Up to `distance_m` the signal is expected to be `s_units` or more."""

    s_units: int
    distance_m: float


def smooth_earth_dbm(radios: Radios, height1_m: float, height2_m: float, distance_m: float) -> float:
    """Return the strength at a distance over a smooth earth; heights in metres above it."""
    setting = Setting(radios.hertz, MEDIAN_RADIUS_M)
    free_db = free_space_loss_db(radios.hertz, slant_m(distance_m, height1_m, height2_m))
    return radios.received_dbm(free_db + round_earth_loss_db(distance_m, height1_m, height2_m, setting))


def rings(radios: Radios, height1_m: float, height2_m: float) -> list[Ring]:
    """Return the rings from S9 outward to S1; a strength that is nowhere reached has none.

    Strength falls with distance all but evenly; where a ring is met more than once, the farthest counts.
    """
    distances = [_NEAREST_M]
    while distances[-1] < _FARTHEST_M:
        distances.append(distances[-1] * _STEP)
    strengths = [smooth_earth_dbm(radios, height1_m, height2_m, metres) for metres in distances]
    found = []
    for units in range(9, 0, -1):
        least_dbm = radios.dbm_of_s_units(units)
        reached = [number for number, dbm in enumerate(strengths) if dbm >= least_dbm]
        if reached and reached[-1] + 1 < len(distances):
            between = distances[reached[-1]], distances[reached[-1] + 1]
            edge_m = _edge(partial(smooth_earth_dbm, radios, height1_m, height2_m), least_dbm, between)
            found.append(Ring(units, edge_m))
    return found


def _edge(strength: Callable[[float], float], least_dbm: float, between_m: tuple[float, float]) -> float:
    """Return the last distance with enough strength, between one that has it and one that has not."""
    near_m, far_m = between_m
    while far_m - near_m > _CLOSE_ENOUGH_M:
        middle_m = (near_m + far_m) / 2
        if strength(middle_m) >= least_dbm:
            near_m = middle_m
        else:
            far_m = middle_m
    return near_m
