"""Whose licence a call shows, and where its station is if the call says so, in a few words."""

from __future__ import annotations

import re

from fieldtui.data.tables import load_toml
from fieldtui.radio.callsign import administration, read_call
from fieldtui.radio.series import administration_of_prefix

_SHORT = {
    "United Kingdom of Great Britain and Northern Ireland": "United Kingdom",
    "United States of America": "United States",
    "Argentine Republic": "Argentina",
    "Russian Federation": "Russia",
    "Republic of Türkiye": "Türkiye",
    "Syrian Arab Republic": "Syria",
    "Democratic People's Republic of Korea": "North Korea",
    "Democratic Republic of the Congo": "DR Congo",
    "Lao People's Democratic Republic": "Laos",
}
_OUT_THERE = {"MM": "at sea", "AM": "in the air"}
"""Common practice, no source."""
_US = "United States of America"


def short_name(name: str) -> str:
    """Return the name of an administration as people say it: without its form of state."""
    return _SHORT.get(name) or re.sub(r" \(.*?\)", "", name).partition(";")[0]


def country_words(call: str) -> str:
    """Return the country of a call; with a place beside the stroke, where the station is and whose licence it has.

    A prefix names an administration, not the island: VP2M is a place of the United Kingdom. Empty for what was only
    half heard.
    """
    read = read_call(call)
    if "?" in read.text:
        return ""
    licence = administration(call)
    owner = short_name(licence) if licence else "not in the ITU table"
    place = _place_words(read.location_prefix, read.indicators, licence)
    return f"{place}; licence: {owner}" if place else owner


def tells_place(call: str) -> bool:
    """Whether a call says where its station is, by a prefix, a figure of a call area, or /MM."""
    read = read_call(call)
    return bool(_place_words(read.location_prefix, read.indicators, administration(call)))


def _place_words(prefix: str | None, indicators: tuple[str, ...], licence: str | None) -> str:
    if prefix is not None:
        there = administration_of_prefix(prefix)
        return f"now in {prefix} ({short_name(there)})" if there else f"now in {prefix}"
    out = next((words for sign, words in _OUT_THERE.items() if sign in indicators), "")
    if out:
        return out
    figure = next((each for each in indicators if len(each) == 1 and each.isdecimal()), None)
    if figure is None:
        return ""
    if licence != _US:
        return f"now in area {figure}"
    return f"now in area {figure} ({load_toml('us_call_areas.toml')['areas'][figure]})"
