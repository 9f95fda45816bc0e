"""Voluntary band plans: what a frequency is usually used for. Agreements, not law."""

from __future__ import annotations

from fieldtui.radio.tables import load_toml

_PLANS = {1: "region_1", 2: "north_america"}
_RIDER = "voluntary; the local coordinator's plan wins"


def usual_use(hertz: int, region: int = 2) -> str | None:
    """Return what a frequency is usually used for, marked as voluntary, or None where no plan is known.

    `region` is the ITU Region: plans are known for Region 1 and, from North America, for Region 2. A spot
    frequency is told before the segment around it, and a narrow segment before the wide one it lies in.
    Sources stand beside each plan in the table.
    """
    if region not in _PLANS:
        return None
    plan = load_toml("band_plan.toml")[_PLANS[region]]
    uses = [spot["use"] for spot in plan["spots"] if spot["hertz"] == hertz]
    segments = [row for band in plan["plans"] for row in band["segments"] if row[0] <= hertz <= row[1]]
    uses += [use for _, _, use in sorted(segments, key=lambda row: (row[1] - row[0], -row[0]))]
    return f"{uses[0]} ({_RIDER})" if uses else None
