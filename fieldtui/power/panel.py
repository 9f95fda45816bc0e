"""What a solar panel lying flat brings to the pack, as a band: the sky and the losses are both known badly."""

from __future__ import annotations

from math import isfinite

from msgspec import Struct

from fieldtui.power.runtime import PANEL_YIELD

SKY_SPREAD = 0.15
"""The clear-sky model is this share off either way: its daily sum against an Ineichen model with climatological haze
differs by -8 to +17 percent (computed with pvlib 0.16.1)."""

CONTROLLER_LOSS = 0.05
SMALL_LOSS, LARGE_LOSS = 0.25, 0.40
"""What heat, dirt, wires and poor aim take from a small folding panel on the ground (common practice, no source)."""

MOST_WATTS = 10_000.0

SILICON_PER_KELVIN = -0.0047
"""Change of a crystalline panel's power with each kelvin of cell temperature above 25 C (NREL PVWatts, version 5)."""


class Band(Struct, frozen=True):
    """An estimate with its lowest and highest value."""

    low: float
    best: float
    high: float

    def __add__(self, other: Band) -> Band:
        return Band(self.low + other.low, self.best + other.best, self.high + other.high)


class Panel(Struct, frozen=True):
    """A panel by its rating in watts, and the share of it that reaches the pack in full sun.

    `efficiency` None is the usual band for a small folding panel; a given one is taken as known.
    """

    watts: float
    efficiency: float | None = None

    def watt_hours(self, sun_wh_per_m2: float) -> Band:
        """Give the yield for the energy of the sun on level ground, in watt-hours a square metre."""
        if self.efficiency is None:
            low, best, high = usual_efficiencies()
        else:
            low = best = high = self.efficiency
        return Band(
            panel_watt_hours(self.watts, sun_wh_per_m2 * (1 - SKY_SPREAD), low),
            panel_watt_hours(self.watts, sun_wh_per_m2, best),
            panel_watt_hours(self.watts, sun_wh_per_m2 * (1 + SKY_SPREAD), high),
        )


def usual_efficiencies() -> tuple[float, float, float]:
    """Give the lowest, the usual and the highest share of the rating that a small panel brings in full sun."""
    return (
        1 - combined_loss((LARGE_LOSS, CONTROLLER_LOSS)),
        PANEL_YIELD,
        1 - combined_loss((SMALL_LOSS, CONTROLLER_LOSS)),
    )


def panel_watt_hours(panel_watts: float, sun_wh_per_m2: float, efficiency: float) -> float:
    """Give what a flat panel brings: rating x sun / 1000 W/m2 x the share that arrives.

    A panel is rated at 1000 W/m2 (standard test conditions); `efficiency` is what is left after heat, dirt, wiring and
    charge controller, more than 0 and at most 1. Raises ValueError otherwise.
    """
    if not (isfinite(panel_watts) and 0 <= panel_watts <= MOST_WATTS):
        raise ValueError(
            f"a panel of {panel_watts:g} W is not possible: give its rating, 0 to {MOST_WATTS:g}"
        )
    if not 0 < efficiency <= 1:
        raise ValueError(
            f"an efficiency of {efficiency:g} is not possible: give more than 0 and at most 1, such as 0.65"
        )
    return panel_watts * sun_wh_per_m2 / 1000 * efficiency


def combined_loss(losses: tuple[float, ...]) -> float:
    """Give the loss of several one after the other, each a share: 1 - product(1 - L) (NREL PVWatts, version 5)."""
    left = 1.0
    for loss in losses:
        left *= 1 - loss
    return 1 - left


def heat_factor(cell_celsius: float, per_kelvin: float = SILICON_PER_KELVIN) -> float:
    """Give how much of its power a panel has at a cell temperature: 1 + g (T - 25) (NREL PVWatts, version 5).

    In still air and full sun the cells are some 25 to 35 K above the air (common practice, no source). Raises
    ValueError outside -60 to 120 C.
    """
    if not -60 <= cell_celsius <= 120:
        raise ValueError(f"cells of {cell_celsius:g} C is not possible: give -60 to 120")
    return 1 + per_kelvin * (cell_celsius - 25)
