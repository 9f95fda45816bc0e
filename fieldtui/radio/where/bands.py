"""Where amateur bands begin and end from 50 MHz up, by ITU Region and by country. Advice: the licence in force wins."""

from __future__ import annotations

from functools import cache
from typing import Any

from msgspec import Struct

from fieldtui.data.tables import load_toml
from fieldtui.radio.bands import band_of, spoken_band
from fieldtui.radio.frequency import format_megahertz

LOWEST_HERTZ = 50_000_000
"""Below, only the names of bands are known here, not their edges by place."""


class BandRow(Struct, frozen=True):
    """One stretch of a band, both edges included. `needs` says what it takes to use it at all, empty if a licence."""

    area: str
    band: str
    low_hertz: int
    high_hertz: int
    regions: tuple[int, ...]
    not_modes: tuple[str, ...]
    needs: str
    source: str
    status: str


def bands_at(region: int, area: str | None = None) -> tuple[BandRow, ...]:
    """Return the bands of an ITU Region, or of a country there by its code; what it does not name is the Region's."""
    own = [row for row in _rows() if row.area == area and region in row.regions]
    named = {row.band for row in _rows() if row.area == area}
    rest = [row for row in _rows() if row.area == f"region {region}" and row.band not in named]
    return tuple(sorted([*own, *rest], key=lambda row: row.low_hertz))


def band_problem(hertz: int, mode: str | None, region: int | None, area: str | None = None) -> str:
    """Say why a frequency is not to be used at a place; empty where nothing is known against it.

    Edges that count from 50 MHz up; None for an unknown Region leaves those that no Region has.
    """
    if band_of(hertz) is None:
        return "outside every band"
    if hertz < LOWEST_HERTZ:
        return ""
    if region is None:
        problems = [band_problem(hertz, mode, each) for each in (1, 2, 3)]
        return "outside every band" if all(problems) else ""
    here = [row for row in bands_at(region, area) if row.low_hertz <= hertz <= row.high_hertz]
    if not here:
        return _outside(hertz, region, area)
    if all(row.needs for row in here):
        return f"depends: {here[0].needs}"
    forbidden = mode is not None and all(mode.upper() in row.not_modes for row in here if not row.needs)
    return f"no {mode.upper()} on {spoken_band(here[0].band)} here" if forbidden and mode else ""


def is_offered(hertz: int, mode: str | None, region: int, area: str | None = None) -> bool:
    """Whether a channel may be proposed at a place at all."""
    return not band_problem(hertz, mode, region, area)


def _outside(hertz: int, region: int, area: str | None) -> str:
    named = band_of(hertz)
    where = _names().get(area or "") or f"region {region}"
    rows = [row for row in bands_at(region, area) if named is not None and row.band == named.name]
    if not rows:
        return (
            f"no amateur band in {where}"
            if named is None
            else f"no {spoken_band(named.name)} band in {where}"
        )
    spans = ", ".join(f"{_short(row.low_hertz)}-{_short(row.high_hertz)}" for row in rows if not row.needs)
    return f"outside the bands of {where}" + (f": {spans} there" if spans else "")


def _short(hertz: int) -> str:
    return format_megahertz(hertz).rstrip("0").rstrip(".")


@cache
def _names() -> dict[str, str]:
    return {row["code"]: row["name"] for row in load_toml("areas.toml")["area"]}


@cache
def _rows() -> tuple[BandRow, ...]:
    return tuple(_row(row) for row in load_toml("amateur_bands.toml")["bands"])


def _row(row: dict[str, Any]) -> BandRow:
    low, high = (round(megahertz * 1_000_000) for megahertz in row["mhz"])
    return BandRow(
        area=row["area"], band=row["band"], low_hertz=low, high_hertz=high,
        regions=tuple(row.get("regions", (1, 2, 3))), not_modes=tuple(row.get("not_modes", ())),
        needs=row.get("needs", ""), source=row["source"], status=row["status"],
    )  # fmt: skip
