"""Writes a station: as a file with a comment above every key, and as plain mappings. Pure."""

from __future__ import annotations

import re
from typing import Any

from msgspec import to_builtins
from msgspec.structs import replace

from fieldtui.radio.outside_text import clean_text
from fieldtui.station.fields import Station
from fieldtui.station.settings import KEYS_COMMENT, KEYS_EXAMPLE, SECTIONS, SETTINGS, Setting

_LONGEST_LIST = 400

_BARE = re.compile(r"[A-Za-z0-9_-]+")


def station_text(station: Station) -> str:
    """Return a station file, TOML, with a comment above each key; keys without a value stand as examples."""
    blocks = ["# The station file. A # before a key leaves it out; everything works without it."]
    for section, comment in SECTIONS.items():
        values = getattr(station, section)
        blocks.append(f"# {comment}\n[{section}]")
        blocks += [_setting_text(setting, values) for setting in SETTINGS if setting.section == section]
    pairs = [f"{key_text(name)} = {value_text(key)}" for name, key in station.screen.keys]
    blocks.append("\n".join([f"# {KEYS_COMMENT}", "[screen.keys]", *(pairs or [f"# {KEYS_EXAMPLE}"])]))
    return "\n\n".join(blocks) + "\n"


def with_values(station: Station, values: dict[Setting, Any]) -> Station:
    """Return a station with some settings replaced."""
    for setting, value in values.items():
        section = replace(getattr(station, setting.section), **{setting.key: value})
        station = replace(station, **{setting.section: section})
    return station


def as_mapping(station: Station) -> dict[str, dict[str, Any]]:
    """Return sections, keys and values as plain mappings, None where nothing is given."""
    tables: dict[str, dict[str, Any]] = to_builtins(station)
    tables["screen"]["keys"] = dict(station.screen.keys)
    tables["kit"]["items"] = None if station.kit.items is None else list(station.kit.items)
    return tables


def _setting_text(setting: Setting, values: object) -> str:
    value = getattr(values, setting.key)
    if value is None:
        return f"# {setting.comment}\n# {setting.key} = {setting.example}"
    return f"# {setting.comment}\n{setting.key} = {value_text(value)}"


def key_text(name: str) -> str:
    """Write a key, in quotes where it needs them."""
    return name if _BARE.fullmatch(name) else value_text(name)


def value_text(value: str | float | bool | tuple[str, ...]) -> str:
    """Write a value as TOML."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, tuple):
        return _list_text([value_text(each) for each in value])
    if isinstance(value, str):
        return '"' + "".join(_escaped(character) for character in value) + '"'
    return repr(value).removesuffix(".0")


def _list_text(written: list[str]) -> str:
    """Write a list on one line while it fits: then a mistake elsewhere in the file costs the list nothing."""
    short = f"[{', '.join(written)}]"
    return (
        short if len(short) <= _LONGEST_LIST else "\n".join(["[", *(f"  {each}," for each in written), "]"])
    )


def _escaped(character: str) -> str:
    """Escape what a TOML basic string may not hold (TOML 1.0.0, String)."""
    if character in '"\\':
        return "\\" + character
    if "\ud800" <= character <= "\udfff":
        return "\ufffd"
    return f"\\u{ord(character):04X}" if ord(character) < 32 or ord(character) == 127 else character


def shown_value(value: object) -> str:
    """A value for people, or that none is given."""
    if value is None:
        return "not given"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, list | tuple):
        return ", ".join(clean_text(str(each), _LONGEST_LIST) for each in value)
    return f"{value:g}" if isinstance(value, float) else clean_text(str(value), _LONGEST_LIST)
