"""Copper wire: resistance, drop, and the largest fuse that still protects it.

Estimates for real copper. Copper-clad aluminium has more resistance and carries less.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from math import isfinite, log, pi, sqrt
from typing import Any

from fieldtui.data.tables import load_toml

COPPER_OHM_MM2_PER_M = 0.017241
"""Annealed copper at 20 C, International Annealed Copper Standard (IEC 60028)."""

COPPER_PER_KELVIN = 0.00393
"""Temperature coefficient of annealed copper at 20 C (IEC 60028)."""

STRANDED = 1.02
"""A stranded wire has about 2 % more resistance than a solid one (NEC chapter 9, table 8)."""

THICKEST_AWG, THINNEST_AWG = -3, 40


@dataclass(frozen=True, slots=True)
class Wire:
    """One conductor by its copper cross-section, in square millimetres."""

    area_mm2: float

    @property
    def diameter_mm(self) -> float:
        """Diameter of the solid wire."""
        return 2 * sqrt(self.area_mm2 / pi)

    def ohms_per_metre(self, celsius: float = 20.0, *, stranded: bool = False) -> float:
        """Give the resistance of one metre of one conductor."""
        ohms = COPPER_OHM_MM2_PER_M / self.area_mm2 * temperature_factor(celsius)
        return ohms * STRANDED if stranded else ohms


@dataclass(frozen=True, slots=True)
class Drop:
    """What a lead takes: volts over both conductors, in percent of the supply, and the watts that warm it."""

    volts: float
    percent: float
    watts: float


def awg_diameter_mm(number: int) -> float:
    """Give the diameter of an American wire gauge: 0.127 mm x 92^((36 - n) / 39), ASTM B258.

    1/0 to 4/0 are 0 to -3. Raises ValueError outside -3 to 40.
    """
    if not THICKEST_AWG <= number <= THINNEST_AWG:
        raise ValueError(
            f"AWG {number} is not in use: give {THINNEST_AWG} (thin) to {THICKEST_AWG} (which is 4/0)"
        )
    return 0.127 * float(92 ** ((36 - number) / 39))


def wire_awg(number: int) -> Wire:
    """Give the wire of an American wire gauge."""
    return Wire(pi / 4 * awg_diameter_mm(number) ** 2)


def wire_mm2(area: float) -> Wire:
    """Give the wire of a cross-section in square millimetres; raises ValueError unless 0 < area <= 1000."""
    if not (isfinite(area) and 0 < area <= 1000):
        raise ValueError(
            f"a cross-section of {area:g} mm2 is not possible: give what is printed on the wire, such as 2.5"
        )
    return Wire(area)


def temperature_factor(celsius: float) -> float:
    """Give the resistance of copper at a temperature over that at 20 C; -60 to 150 C."""
    if not -60 <= celsius <= 150:
        raise ValueError(f"{celsius:g} C is outside what a wire stands: give -60 to 150")
    return 1 + COPPER_PER_KELVIN * (celsius - 20)


def drop(
    wire: Wire,
    metres: float,
    amps: float,
    supply_volts: float,
    celsius: float = 20.0,
    *,
    stranded: bool = False,
) -> Drop:
    """Give the drop over both conductors of a lead: V = 2 L R(T) I. `metres` is the length one way."""
    for what, value, most in (
        ("length", metres, 1000.0),
        ("current", amps, 1000.0),
        ("supply", supply_volts, 1000.0),
    ):
        if not (isfinite(value) and 0 < value <= most):
            raise ValueError(f"a {what} of {value:g} is not possible: give more than 0 and at most {most:g}")
    volts = 2 * metres * wire.ohms_per_metre(celsius, stranded=stranded) * amps
    return Drop(volts, 100 * volts / supply_volts, volts * amps)


def ampacity_amps(wire: Wire) -> float | None:
    """Give the current the wire carries for long, from the nearest gauge not thicker; None off the table."""
    rating = _rating(wire)
    return rating[0] if rating else None


def ampacity_source(wire: Wire) -> str:
    """Give the source of that current and how well it is known; empty off the table."""
    rating = _rating(wire)
    return rating[1] if rating else ""


def largest_fuse_amps(wire: Wire) -> float | None:
    """Give the largest usual fuse that still protects the wire; None when the wire is too thin for the table."""
    ampacity = ampacity_amps(wire)
    if ampacity is None:
        return None
    fitting = [size for size in fuse_sizes() if size <= ampacity]
    return max(fitting) if fitting else None


def pick_fuse(continuous_amps: float, wire_amps: float, sizes: Sequence[float] | None = None) -> float:
    """Give the smallest usual fuse of at least 1.25 times the continuous current and at most the wire's rating.

    Common practice, no source. Raises ValueError when no size fits: the wire is too thin for the load.
    """
    factor = float(_table()["fuse_factor"])
    least = factor * continuous_amps
    fitting = [size for size in sizes or fuse_sizes() if least <= size <= wire_amps]
    if not fitting:
        raise ValueError(
            f"no fuse fits: {factor:g} times {continuous_amps:g} A is {least:g} A and the wire stands {wire_amps:g} A; "
            "take a thicker wire"
        )
    return min(fitting)


def fuse_sizes() -> tuple[float, ...]:
    """Give the fuse sizes of the table, in amps, rising."""
    return tuple(float(size) for size in _table()["fuse_sizes_amps"])


def caution() -> str:
    """Give the words of caution that go with every fuse."""
    return str(_table()["caution"])


@cache
def _table() -> dict[str, Any]:
    return load_toml("wires.toml")


def _rating(wire: Wire) -> tuple[float, str] | None:
    """Give the amps and their source for the thickest gauge of the table that the wire is at least as thick as."""
    # The exact gauge may be a hair off in binary: a thousandth of a gauge is forgiven.
    number = 36 - 39 * log(wire.diameter_mm / 0.127) / log(92)
    gauges = _ratings()
    fitting = [gauge for gauge in gauges if gauge >= number - 0.001]
    return gauges[min(fitting)] if fitting else None


@cache
def _ratings() -> dict[int, tuple[float, str]]:
    return {
        awg: (
            float(amps),
            row["source"] if row["status"] in row["source"] else f"{row['source']}, {row['status']}",
        )
        for row in _table()["wire"]
        for awg, amps in zip(row["awg"], row["amps"], strict=True)
    }
