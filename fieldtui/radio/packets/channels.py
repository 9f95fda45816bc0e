"""On which channel position packets are usual, and a warning on the wrong one. Advice, never permission."""

from __future__ import annotations

from typing import Any

from fieldtui.radio.frequency import format_megahertz
from fieldtui.radio.tables import load_toml

_TABLE = "packet_channels.toml"
LEAST = "you need a licence for this channel, and stay its control operator: listen before you send"
NEAR_HERTZ = 5000
"""What a dial rounds away is the same channel."""


def usual_channel(region: int | None, here: tuple[float, float] | None = None) -> dict[str, Any] | None:
    """Return the row of the table for a place (degrees north and east), or else for an ITU Region; None if not told."""
    table = load_toml(_TABLE)
    if here is not None:
        for place in table["places"]:
            south, west, north, east = place["box"]
            if south <= here[0] <= north and west <= here[1] <= east:
                row: dict[str, Any] = table[place["channel"]]
                return row
        return None
    rows = (table[name] for name in ("north_america", "region_1"))
    return next((row for row in rows if row["region"] == region), None)


def channel_cautions(
    hertz: int | None, region: int | None, here: tuple[float, float] | None = None
) -> tuple[str, ...]:
    """Return what to think of before a packet is sent on a frequency, the most important first; never empty."""
    usual = usual_channel(region, here)
    words: list[str] = []
    if hertz is None:
        words.append("the channel of packets is not known here: set packet.mhz in the station file")
    elif usual is None:
        words.append(
            f"no packet channel is known for this place: ask locally whether it is {format_megahertz(hertz)}"
        )
    elif abs(hertz - usual["hertz"]) > NEAR_HERTZ:
        other = _name_of(hertz)
        belongs = f", which is that of {other}" if other else ""
        words.append(
            f"WRONG CHANNEL? {format_megahertz(hertz)} MHz is set{belongs}; in {usual['name']} position packets "
            f"are sent on {format_megahertz(usual['hertz'])} MHz"
        )
    words.append(LEAST)
    words.append("a packet tells everybody where you are; a plan is voluntary, the licence is not")
    return tuple(words)


def _name_of(hertz: int) -> str | None:
    table = load_toml(_TABLE)
    for name in ("north_america", "region_1"):
        if abs(hertz - table[name]["hertz"]) <= NEAR_HERTZ:
            return str(table[name]["name"])
    return None
