"""The tables of United States privileges, asked one question at a time: class, emission, power.

Each answer is None when nothing stands in the way, or the reason in words.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, Literal

from msgspec import Struct

from fieldtui.data.tables import load_toml
from fieldtui.radio.frequency import format_megahertz
from fieldtui.radio.modes import Mode
from fieldtui.radio.us.places import Place

Span = tuple[int, int]
"""Lowest and highest frequency of an emission or a segment, hertz."""

Measure = Literal["PEP", "ERP"]
"""How a power is measured: peak envelope power, or the same times the antenna's gain over a half-wave dipole."""

TABLE = "us_privileges.toml"
LICENCES = {"technician": "T", "novice": "N", "general": "G", "advanced": "A", "extra": "E"}
"""Licence classes with their letters in the table."""

_CLIMB = ("novice", "technician", "general", "advanced", "extra")
_SSB = ("SSB", "USB", "LSB")
_FM = ("FM", "NFM")
_MAINLAND_WEST_DEG, _MAINLAND_SOUTH_DEG = -130.0, 20.0
_SPOKEN = {"mcw": "MCW", "rtty": "RTTY"}


class Emission(Struct, frozen=True):
    """What is to be sent: the span it fills, how, by whom and where."""

    span: Span
    width_hertz: int
    mode: Mode
    licence: str
    region: int
    place: Place | None


def class_problem(emission: Emission) -> str | None:
    """Say why the licence does not reach an emission (47 CFR 97.301), or None when it does."""
    own = _merged(_ranges(emission.region, emission.licence))
    if any(_within(emission.span, span) for span in own):
        return None
    if (edge := _edge_passed(emission.span, own)) is not None:
        return f"passes the edge at {format_megahertz(edge)}"
    for licence in _CLIMB:
        if any(_within(emission.span, span) for span in _merged(_ranges(emission.region, licence))):
            return f"not for {emission.licence}: takes {licence} or higher"
    if any(_touches(emission.span, span) for region in (1, 2, 3) for span in _ranges(region)):
        return f"no amateur allocation in ITU Region {emission.region}, or past its edge"
    return "outside every amateur band"


def emission_problem(emission: Emission) -> str | None:
    """Say why a segment does not take an emission (47 CFR 97.305 and 97.307), or None when it does."""
    if emission.mode.kind == "cw":
        return None
    segments = [row for row in load_toml(TABLE)["emissions"] if _touches(emission.span, _span(row))]
    bars = {id(row): _bar(row, emission) for row in segments}
    open_spans = _merged(_span(row) for row in segments if bars[id(row)] is None)
    if any(_within(emission.span, span) for span in open_spans):
        return None
    if (edge := _edge_passed(emission.span, open_spans)) is not None:
        return f"passes the edge at {format_megahertz(edge)}: {emission.mode.name} is not allowed beyond it"
    # A segment that takes the kind of emission, but not this one, has the more telling reason.
    segments.sort(key=lambda row: emission.mode.kind not in row["kinds"])
    return bars[id(segments[0])] if segments else "no segment is known here"


def power_limit(emission: Emission) -> tuple[float, Measure]:
    """Return the highest power in watts and how it is measured, PEP or ERP (47 CFR 97.313)."""
    letter = LICENCES[emission.licence]
    rows = [
        row
        for row in load_toml(TABLE)["power"]
        if letter in row["licences"]
        and emission.region in row["regions"]
        and _touches(emission.span, _span(row))
    ]
    lowest = min(rows, key=lambda row: float(row["watts"]))
    return float(lowest["watts"]), "ERP" if lowest["measure"] == "ERP" else "PEP"


def segment_text(emission: Emission) -> str | None:
    """Return the segment around an emission, as far as the region has it, with what it takes, in words."""
    rows = [row for row in load_toml(TABLE)["emissions"] if _touches(emission.span, _span(row))]
    rows.sort(key=lambda row: emission.mode.kind not in row["kinds"])
    held = [span for span in _merged(_ranges(emission.region)) if _touches(emission.span, span)]
    if not rows or not held:
        return None
    low, high = _span(rows[0])
    return f"{_written((max(low, held[0][0]), min(high, held[0][1])))}: {_taken(rows[0])}"


def reaches(emission: Emission) -> bool:
    """Tell whether an emission touches any range of the region, whatever the licence."""
    return any(_touches(emission.span, span) for span in _ranges(emission.region))


def forwarding_only(emission: Emission) -> bool:
    """Tell whether the emission falls where only fixed message forwarding is allowed (219 to 220 MHz)."""
    return any(
        row.get("forwarding_only", False) and _touches(emission.span, _span(row))
        for row in load_toml(TABLE)["emissions"]
    )


def _bar(row: dict[str, Any], emission: Emission) -> str | None:
    """Say why one segment does not take an emission, or None."""
    mode, only = emission.mode, row.get("only", {}).get(LICENCES[emission.licence])
    if mode.kind not in row["kinds"]:
        return f"no {_SPOKEN.get(mode.kind, mode.kind)} here: {_written(_span(row))} takes {_taken(row)}"
    if row.get("not_region_2_mainland") and _on_region_2_mainland(emission):
        return f"no {mode.kind} here from the mainland of ITU Region 2"
    if only == "cw":
        return f"CW only for {emission.licence}"
    if only == "ssb" and mode.name not in _SSB:
        return f"CW and single-sideband phone only for {emission.licence}"
    if row.get("fm_index_one") and mode.name in _FM:
        return "no ordinary FM here: a modulation index of 1 at most"
    widest = row.get("any_hertz") or (row.get("data_hertz") if mode.kind in ("data", "rtty") else None)
    if widest is not None and emission.width_hertz > widest:
        return f"wider than the {widest / 1000:g} kHz allowed here"
    return None


def _on_region_2_mainland(emission: Emission) -> bool:
    """Tell whether 97.307(f)(11) keeps phone out: Region 2, unless all of it is west of 130 W or south of 20 N."""
    if emission.region != 2:
        return False
    if emission.place is None:
        return True
    place = emission.place
    # A locator's cell that ends at 20 N lies south of it.
    north = place.north_deg > _MAINLAND_SOUTH_DEG or place.south_deg >= _MAINLAND_SOUTH_DEG
    return north and place.east_deg > _MAINLAND_WEST_DEG


def _taken(row: dict[str, Any]) -> str:
    """Return what a segment takes, in words."""
    if row.get("forwarding_only"):
        return "data only, for fixed forwarding of messages"
    return "CW, " + ", ".join(_SPOKEN.get(kind, kind) for kind in row["kinds"]) if row["kinds"] else "CW only"


def _written(span: Span) -> str:
    return "-".join(format_megahertz(hertz) for hertz in span)


def _ranges(region: int, licence: str | None = None) -> list[Span]:
    letter = LICENCES[licence] if licence else ""
    return [
        _span(row)
        for row in load_toml(TABLE)["ranges"]
        if region in row["regions"] and letter in row["licences"]
    ]


def _span(row: dict[str, Any]) -> Span:
    low, high = row["hertz"]
    return low, high


def _merged(spans: Iterable[Span]) -> list[Span]:
    """Join spans that touch: 3.5-3.6 and 3.6-4.0 are one range to an emission across 3.6."""
    merged: list[Span] = []
    for low, high in sorted(spans):
        if merged and low <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(high, merged[-1][1]))
        else:
            merged.append((low, high))
    return merged


def _within(inner: Span, outer: Span) -> bool:
    return outer[0] <= inner[0] and inner[1] <= outer[1]


def _touches(one: Span, other: Span) -> bool:
    return one[0] < other[1] and other[0] < one[1]


def _edge_passed(span: Span, spans: Iterable[Span]) -> int | None:
    """Return the edge that a span crosses on its way out of one of `spans`, if it does."""
    for low, high in spans:
        if span[0] < high < span[1]:
            return high
        if span[0] < low < span[1]:
            return low
    return None
