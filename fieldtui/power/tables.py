"""The battery tables: chemistries with their limits and rested-voltage curves, from `fieldtui/data`."""

from __future__ import annotations

from bisect import bisect_right
from functools import cache
from typing import Any

from msgspec import Struct

from fieldtui.data.tables import load_toml


class RestCurve(Struct, frozen=True):
    """One published rested-voltage table: charge in percent against volts of one cell, both rising."""

    source: str
    status: str
    percents: tuple[float, ...]
    cell_volts: tuple[float, ...]

    def volts_at(self, percent: float) -> float:
        """Give the rested volts of one cell at a charge of 0 to 100 percent; held flat beyond the table."""
        return interpolate(self.percents, self.cell_volts, percent)

    def percent_at(self, volts: float) -> float:
        """Give the charge in percent for the rested volts of one cell; held flat beyond the table."""
        return interpolate(self.cell_volts, self.percents, volts)


class CellLimits(Struct, frozen=True):
    """What one cell stands: volts of one cell, temperatures in degrees Celsius, each with its source."""

    charge_cell_volts: float
    charge_source: str
    cutoff_cell_volts: float
    cutoff_source: str
    warn_cell_volts: float
    warn_source: str
    charge_low_c: float
    charge_high_c: float
    charge_temperature_source: str
    discharge_low_c: float
    discharge_high_c: float
    discharge_temperature_source: str
    checked: str


class Chemistry(Struct, frozen=True):
    """A battery chemistry. `usual_packs` are the numbers of cells in series that are met in the field."""

    name: str
    aliases: tuple[str, ...]
    label: str
    usual_cells: int
    usual_packs: tuple[int, ...]
    nominal_cell_volts: float
    rest_minutes: int
    spread_cell_volts: float
    spread_source: str
    peukert_exponent: float
    peukert_status: str
    usable_percent: float
    usable_status: str
    limits: CellLimits
    curves: tuple[RestCurve, ...]
    plateau_cell_volts: tuple[float, float] | None = None
    plateau_least_points: float = 0.0

    def on_plateau(self, cell_volts: float) -> bool:
        """Tell whether the curve is so flat here that a voltage cannot tell the charge."""
        if self.plateau_cell_volts is None:
            return False
        low, high = self.plateau_cell_volts
        return low <= cell_volts <= high


def interpolate(xs: tuple[float, ...], ys: tuple[float, ...], x: float) -> float:
    """Interpolate linearly in a table with rising `xs`; beyond its ends the end value holds."""
    if x <= xs[0]:
        return ys[0]
    if x >= xs[-1]:
        return ys[-1]
    right = bisect_right(xs, x)
    x0, x1, y0, y1 = xs[right - 1], xs[right], ys[right - 1], ys[right]
    return y0 + (y1 - y0) * (x - x0) / (x1 - x0)


def chemistry(name: str) -> Chemistry:
    """Find a chemistry by its name or a usual other name, upper or lower case.

    Raises ValueError, listing the known names, when there is none such.
    """
    wanted = name.strip().lower().replace("_", "-")
    for known in chemistries():
        if wanted == known.name or wanted in known.aliases:
            return known
    names = ", ".join(known.name for known in chemistries())
    raise ValueError(f"unknown chemistry {name[:40]!r}: use one of {names}")


@cache
def chemistries() -> tuple[Chemistry, ...]:
    """Give every chemistry of the table, in its order."""
    return tuple(_chemistry(row) for row in load_toml("chemistries.toml")["chemistry"])


def _chemistry(row: dict[str, Any]) -> Chemistry:
    fields: dict[str, Any] = {key: _tuples(value) for key, value in row.items() if key != "rest"}
    fields["limits"] = CellLimits(**row["limits"])
    fields["curves"] = tuple(_curve(rest) for rest in row["rest"])
    return Chemistry(**fields)


def _curve(row: dict[str, Any]) -> RestCurve:
    return RestCurve(row["source"], row["status"], tuple(row["percents"]), tuple(row["cell_volts"]))


def _tuples(value: object) -> object:
    return tuple(value) if isinstance(value, list) else value
