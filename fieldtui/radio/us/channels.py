"""The four channels of the 60 m band in the United States, which stand outside its segment."""

from __future__ import annotations

from typing import Any

from fieldtui.data.tables import load_toml
from fieldtui.radio.frequency import format_megahertz
from fieldtui.radio.us.segments import LICENCES, TABLE, Emission, reaches

CHANNEL_BAND_HERTZ = (5_330_000, 5_407_000)
"""Lowest and highest frequency that is a matter for this module."""


def widest_hertz() -> int:
    """Return the widest emission on 60 m, channels and segment alike."""
    return int(_channels()["widest_hertz"])


def power_watts() -> float:
    """Return the highest effective radiated power on the channels (47 CFR 97.313(i))."""
    return float(_channels()["watts"])


def in_channel_band(hertz: int) -> bool:
    """Tell whether a dial frequency lies on 60 m, channels or segment."""
    return CHANNEL_BAND_HERTZ[0] <= hertz <= CHANNEL_BAND_HERTZ[1]


def belongs_to_channels(hertz: int, emission: Emission) -> bool:
    """Tell whether an emission lies on 60 m and clear of the segment, where only channels remain."""
    return in_channel_band(hertz) and not reaches(emission)


def channel_problem(hertz: int, emission: Emission) -> str | None:
    """Say why an emission does not fit a channel (47 CFR 97.303(h), 97.305(c)), or None when it does.

    The carrier is compared with those the rule lists, not the span with the channel: the dial plus 2.8 kHz
    misses the nominal edge by 0.1 kHz.
    """
    table, kind = _channels(), emission.mode.kind
    if LICENCES[emission.licence] not in table["licences"]:
        return f"not for {emission.licence}: takes general or higher"
    if emission.region not in table["regions"]:
        return f"no 60 m channels in ITU Region {emission.region} in this table"
    if kind != "cw" and (kind not in table["kinds"] or emission.width_hertz > table["widest_hertz"]):
        return "60 m channels take CW, and phone, RTTY and data up to 2.8 kHz wide"
    below = 0 if kind == "cw" else table["carrier_below_hertz"]
    dials = [centre - below for centre in table["centres_hertz"]]
    if hertz not in dials:
        return f"between the 60 m channels: dial {', '.join(format_megahertz(dial) for dial in dials)}"
    if kind == "phone" and emission.span[0] != hertz:
        return "60 m channels take the upper sideband only"
    return None


def channels_text() -> str:
    """Return the centres of the channels, in words."""
    return "60 m channels centred on " + ", ".join(map(format_megahertz, _channels()["centres_hertz"]))


def _channels() -> dict[str, Any]:
    table: dict[str, Any] = load_toml(TABLE)["channels_60m"]
    return table
