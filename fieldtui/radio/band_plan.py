"""Voluntary band plans: what a frequency is usually used for. Agreements, not law."""

from __future__ import annotations

from fieldtui.data.tables import load_toml

_RIDER = "voluntary; the local coordinator's plan wins"
_NORTH_AMERICA = ("us", "ca")


def usual_use(hertz: int, region: int | None = 2, area: str | None = "us") -> str | None:
    """Return what a frequency is usually used for, marked as voluntary, or None where no plan is known.

    `region` is the ITU Region, `area` the code of a country. Whole plans are known for Region 1 and North America;
    elsewhere the channels that come with the program. A spot frequency is told before the segment around it, and a
    narrow segment before the wide one it lies in. Sources stand beside each plan in the table.
    """
    uses = _uses(hertz, region, area) or _channel_uses(hertz, region, area)
    return f"{uses[0]} ({_rider(area)})" if uses else None


def _rider(area: str | None) -> str:
    from fieldtui.radio.where.areas import area_coded  # noqa: PLC0415  (no start waits for it)

    country = area_coded(area)
    return f"by the law of {country.name}" if country is not None and country.plan_by_law else _RIDER


def _uses(hertz: int, region: int | None, area: str | None) -> list[str]:
    named = "region_1" if region == 1 else "north_america" if region == 2 and area in _NORTH_AMERICA else None
    if named is None:
        return []
    plan = load_toml("band_plan.toml")[named]
    uses = [spot["use"] for spot in plan["spots"] if spot["hertz"] == hertz]
    segments = [row for band in plan["plans"] for row in band["segments"] if row[0] <= hertz <= row[1]]
    return uses + [use for _, _, use in sorted(segments, key=lambda row: (row[1] - row[0], -row[0]))]


def _channel_uses(hertz: int, region: int | None, area: str | None) -> list[str]:
    from fieldtui.radio.channels.plan import default_plan  # noqa: PLC0415  (only where no whole plan is known)

    channel = default_plan(region, area).nearest(hertz)
    return [f"{channel.name} {channel.purpose}"] if channel else []
