"""Countries, as far as bands, channels and rules for the call are known: from a call, or from a locator."""

from __future__ import annotations

import re
from functools import cache
from typing import Any

from msgspec import Struct

from fieldtui.data.tables import load_toml
from fieldtui.radio.callsign import read_call
from fieldtui.radio.locator import Cell
from fieldtui.radio.series import administration_of_prefix

Box = tuple[float, float, float, float]
AT_SEA = ("MM", "AM")
"""After the stroke: at sea, and in the air; where, the call does not tell (common practice, no source)."""


class Area(Struct, frozen=True):
    """One country. `regions` are its ITU Regions, that of most of it first; `around` holds all of it, if known.

    `always`: the Region holds for all of the country, whatever the lines on the map say. `far_too`: its rules hold in
    its far places too.
    """

    code: str
    name: str
    administrations: tuple[str, ...]
    regions: tuple[int, ...]
    rule: str | None = None
    always: bool = False
    far_too: bool = False
    calls: str = ""
    inside: tuple[Box, ...] = ()
    around: tuple[Box, ...] = ()
    channels: tuple[str, ...] = ()
    plan_by_law: bool = False
    packets_hertz: int | None = None

    def may_hold(self, cell: Cell) -> bool:
        """Whether some of a cell may lie in the country, by boxes; True where none are known."""
        return not self.around or any(_meets(cell, box) for box in self.around)

    def surely_holds(self, cell: Cell) -> bool:
        """Whether all of a cell lies well inside."""
        return any(_within(cell, box) for box in self.inside)


@cache
def areas() -> tuple[Area, ...]:
    """Return all countries of the table."""
    return tuple(_area(row) for row in load_toml("areas.toml")["area"])


def area_coded(code: str | None) -> Area | None:
    """Return the country of a code such as `us` or `jp`."""
    return next((area for area in areas() if area.code == code), None)


def area_ruled(rule: str | None) -> Area | None:
    """Return the country whose rule for the call has this name."""
    return next((area for area in areas() if rule is not None and area.rule == rule), None)


def area_of_cell(cell: Cell) -> Area | None:
    """Return the country that a whole cell surely lies in, or None where no box holds it."""
    return next((area for area in areas() if area.surely_holds(cell)), None)


def area_of_call(call: str) -> Area | None:
    """Return the country that a call says its station is in: that of the prefix beside the stroke, or of the licence.

    None at sea, for prefixes of places far from the rest of their country, and for countries not in the table.
    """
    prefix = place_of_call(call)
    name = administration_of_prefix(prefix) if prefix else None
    found = next((area for area in areas() if name in area.administrations), None)
    if found is None or prefix is None or not re.match(found.calls, prefix):
        return None
    return found if found.far_too or away_region(prefix) is None else None


def region_of_call(call: str) -> int | None:
    """Return the ITU Region that a call speaks for, or None where it cannot tell: most countries lie in one.

    A call without a stroke shows whose licence it is; that the station is there is assumed.
    """
    prefix = place_of_call(call)
    if not prefix:
        return None
    away = away_region(prefix)
    if away is not None:
        return away or None
    name, table = administration_of_prefix(prefix), load_toml("areas.toml")["regions"]
    if name is None or name in table["none"]:
        return None
    return 2 if name in table["second"] else 3 if name in table["third"] else 1


def place_of_call(call: str) -> str | None:
    """Return the part of a call that tells where the station is; None at sea, in the air, and for what is no call."""
    read = read_call(call)
    if read.shape == "no" or "?" in read.text or any(sign in read.indicators for sign in AT_SEA):
        return None
    return read.location_prefix or read.core


def away_region(prefix: str) -> int | None:
    """Return the Region of a place far from the rest of its country, 0 if unknown; None for the country itself."""
    table: dict[str, int] = load_toml("areas.toml")["regions"]["away"]
    return next((table[prefix[:size]] for size in (3, 2) if prefix[:size] in table), None)


def _area(row: dict[str, Any]) -> Area:
    megahertz = row.get("packets_mhz")
    return Area(
        code=row["code"],
        name=row["name"],
        administrations=tuple(row["administrations"]),
        regions=tuple(row.get("regions", [row["region"]])),
        rule=row.get("rule"),
        always=row.get("always", False),
        far_too=row.get("far_too", False),
        calls=row.get("calls", ""),
        inside=tuple(tuple(box) for box in row.get("inside", ())),
        around=tuple(tuple(box) for box in row.get("around", ())),
        channels=tuple(row.get("channels", ())),
        plan_by_law=row.get("plan_by_law", False),
        packets_hertz=None if megahertz is None else round(megahertz * 1_000_000),
    )


def _within(cell: Cell, box: Box) -> bool:
    south, west, north, east = box
    return (
        south <= cell.south_deg
        and cell.north_deg <= north
        and west <= cell.west_deg
        and cell.east_deg <= east
    )


def _meets(cell: Cell, box: Box) -> bool:
    south, west, north, east = box
    return south < cell.north_deg and cell.south_deg < north and west < cell.east_deg and cell.west_deg < east
