"""Which ITU Region, country and rule for the call hold here: as set, or assumed from the locator or the call, and said.

What is set always counts. Where nothing is, the locator comes before the call: a call says whose licence it is, and a
visitor is elsewhere.
"""

from __future__ import annotations

from functools import lru_cache

from msgspec import Struct

from fieldtui.radio.locator import Cell, cell_of
from fieldtui.radio.rules import identification_rule
from fieldtui.radio.where.areas import (
    Area,
    area_coded,
    area_of_call,
    area_of_cell,
    area_ruled,
    region_of_call,
)
from fieldtui.radio.where.regions import region_of_cell

UNKNOWN_RULE = "own"
"""Where no rule is known: start, end, and a reminder every ten minutes."""


class Law(Struct, frozen=True):
    """What holds: `region` 1 to 3 or None, the country or None, and the name of the rule for the call.

    `region_from` and `rule_from` name what each was assumed from; both are empty for what was set. `doubts` are
    what does not fit together.
    """

    region: int | None
    area: Area | None
    rule: str
    region_from: str = ""
    rule_from: str = ""
    doubts: tuple[str, ...] = ()

    @property
    def where(self) -> str:
        """The place, in words: the country, or else the Region."""
        if self.area is not None:
            return self.area.name
        return f"region {self.region}" if self.region else "an unknown region"

    @property
    def under_us_rules(self) -> bool:
        """Whether 47 CFR part 97 decides what may be sent: the licence table knows no other."""
        return self.area.code == "us" if self.area is not None else self.rule == "us"

    @property
    def brief(self) -> str:
        """What was assumed, for a narrow line; empty if all was set."""
        told = [f"region {self.region}" if self.region else "region not known"] if self.region_from else []
        told += [f"rule {self.rule}"] if self.rule_from else []
        source = self.region_from or self.rule_from
        why = "nothing tells where this is" if source == NOTHING else f"from {source}"
        return f"{', '.join(told)} assumed: {why}" if told else ""

    @property
    def assumed(self) -> str:
        """What was assumed and from what, in one phrase; empty if all was set."""
        region = f"region {self.region}" if self.region else ""
        rule = _rule_words(self.rule)
        if self.region_from and self.region_from == self.rule_from and region:
            return f"{region} and {rule} assumed{_from(self.region_from)}"
        parts = []
        if self.region_from:
            parts.append(f"{region} assumed{_from(self.region_from)}" if region else "region not known")
        if self.rule_from:
            parts.append(f"{rule} assumed{_from(self.rule_from)}")
        return ", ".join(parts)


NOTHING = "nothing"
"""What a Region is assumed from where nothing tells the place."""


def assumed_words(source: str) -> str:
    """Return in words what something was assumed from, by what a journal names as the source."""
    return "assumed" if source == NOTHING else f"assumed from {source}"


def _by_call(call: str | None) -> str:
    return f"the call {call}"


@lru_cache(maxsize=256)
def law_of(
    region: int | None = None, rule: str | None = None, locator: str | None = None, call: str | None = None
) -> Law:
    """Return what holds for a station: `region` and `rule` as they are set, its locator and its call.

    With nothing at all, North America and the rule of the United States are assumed, and said. An unknown rule counts
    as not set; a locator or a call that is none tells nothing.
    """
    cell = cell_of(locator) if locator else None
    if not (region or rule or cell or call):
        return Law(2, area_coded("us"), "us", NOTHING, NOTHING)
    area, area_from = _area(rule, cell, call)
    found, found_from = (region, "") if region else _region(area, area_from, cell, call)
    doubts = _doubts(region, rule, cell)
    if area is not None and found not in area.regions:
        area = None
    if rule:
        return Law(found, area, rule, found_from, "", doubts)
    known = area.rule if area else None
    return Law(found, area, known or UNKNOWN_RULE, found_from, area_from or found_from or "region", doubts)


def _area(rule: str | None, cell: Cell | None, call: str | None) -> tuple[Area | None, str]:
    """The country, and what tells it: a locator well inside, the rule that is set, or the call."""
    inside = area_of_cell(cell) if cell else None
    if inside is not None and cell is not None:
        return inside, cell.locator
    for found, source in ((area_ruled(rule), f"rule {rule}"), (area_of_call(call or ""), _by_call(call))):
        if found is not None and (cell is None or _fits(found, cell)):
            return found, source
    return None, ""


def _fits(area: Area, cell: Cell) -> bool:
    if not area.may_hold(cell):
        return False
    by_lines = region_of_cell(cell)
    return area.always or by_lines is None or by_lines in area.regions


def _region(area: Area | None, area_from: str, cell: Cell | None, call: str | None) -> tuple[int | None, str]:
    """The Region, and what tells it: a country that lies in one, else the map, else the call."""
    if area is not None and area.always:
        return area.regions[0], area_from
    if cell is not None:
        by_lines = region_of_cell(cell)
        if by_lines is not None:
            return by_lines, cell.locator
        return (area.regions[0], area_from) if area else (None, cell.locator)
    if area is not None and area_from != _by_call(call):
        return area.regions[0], area_from
    return (region_of_call(call), _by_call(call)) if call else (None, "")


def _doubts(region: int | None, rule: str | None, cell: Cell | None) -> tuple[str, ...]:
    """What is set against what the locator says."""
    if cell is None:
        return ()
    inside, by_lines, told = area_of_cell(cell), region_of_cell(cell), []
    if region and by_lines and region != by_lines:
        told.append(f"region {region} is set, but {cell.locator} lies in region {by_lines}")
    ruled = area_ruled(rule)
    if inside is not None and ruled is not None and inside != ruled:
        told.append(f"the rule {rule} is set, but {cell.locator} lies in {inside.name}")
    return tuple(told)


def _from(source: str) -> str:
    return ", since nothing tells where this is" if source == NOTHING else f" from {source}"


def _rule_words(rule: str) -> str:
    if rule == UNKNOWN_RULE:
        return "the general rule (call at start, end, every 10 minutes)"
    return f"the rule of {_with_article(identification_rule(rule).name)}"


def _with_article(name: str) -> str:
    return f"the {name}" if name.startswith("United ") else name
