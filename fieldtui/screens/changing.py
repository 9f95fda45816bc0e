"""What of the station file a running screen takes at once: from a station to settings. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from msgspec.structs import replace

from fieldtui.screens.keys import ACTIONS, PAGES, keys_of
from fieldtui.screens.settings import Settings
from fieldtui.screens.theme_names import NAMES, theme_for
from fieldtui.station.fields import Operator, Screen, Station
from fieldtui.station.naming import KEYS, key_setting
from fieldtui.station.setting import Setting
from fieldtui.station.settings import SETTINGS
from fieldtui.station.writing import with_values

_NAMES = (
    "screen.theme", "screen.units", "screen.bell", "screen.saver", "screen.figures",
    "operator.region", "operator.licence",
)  # fmt: skip
_BY_NAME = {setting.name: setting for setting in SETTINGS}

TAKEN = tuple(_BY_NAME[name] for name in _NAMES)
"""What is changed while the screen runs, in the order of its page."""
TAKEN_KEYS = tuple(
    key_setting(action.name) for action in (*ACTIONS, *(each for page in PAGES.values() for each in page))
)
"""The keys of the keyboard, which are changed in the same way."""


def changed(settings: Settings, setting: Setting, station: Station, term: str) -> Settings:
    """The settings of the running screen once a station says something else of one key; `term` is the terminal's."""
    screen, operator = station.screen, station.operator
    values: Mapping[str, dict[str, Any]] = {
        "screen.theme": {"theme": theme_for(term, screen.theme)},
        "screen.units": {"miles": screen.units == "mi"},
        "screen.bell": {"bell": screen.bell is not False},
        "screen.saver": {"saver": bool(screen.saver)},
        "screen.figures": {"figures": screen.figures or "english"},
        "operator.licence": {"licence": operator.licence},
        "operator.region": {"region": operator.region},
    }
    if setting.section == KEYS:
        return replace(settings, keys=dict(screen.keys))
    return replace(settings, **values[setting.name])


def station_of(settings: Settings) -> Station:
    """A station that says what holds in the running screen."""
    return Station(
        operator=Operator(licence=settings.licence, region=settings.region),
        screen=Screen(
            bell=settings.bell,
            saver=settings.saver,
            theme=settings.theme if settings.theme in NAMES else None,
            units="mi" if settings.miles else "km",
            figures=settings.figures,
            keys=tuple(settings.keys.items()),
        ),
    )


def with_value(station: Station, setting: Setting, written: str | None) -> Station:
    """A station with one value as it is written; None takes it out. Raises RefusedError."""
    value = None if written is None else setting.read(written)
    if setting.section != KEYS:
        return with_values(station, {setting: value})
    keys = {**dict(station.screen.keys), setting.key: str(value)}
    if value is None:
        del keys[setting.key]
    return replace(station, screen=replace(station.screen, keys=tuple(keys.items())))


def value_now(settings: Settings, setting: Setting) -> str:
    """What holds in the running screen, as it would be written; nothing where nothing is given."""
    if setting.section == KEYS:
        return keys_of(settings.keys)[setting.key]
    values = {
        "screen.theme": settings.theme,
        "screen.units": "mi" if settings.miles else "km",
        "screen.bell": "true" if settings.bell else "false",
        "screen.saver": "true" if settings.saver else "false",
        "screen.figures": settings.figures,
        "operator.licence": settings.licence or "",
        "operator.region": "" if settings.region is None else str(settings.region),
    }
    return values[setting.name]


def next_value(settings: Settings, setting: Setting, step: int) -> str | None:
    """The choice after what holds now, or before it; None is "not given", where that means something of its own."""
    choices: list[str | None] = list(setting.read.choices)
    if setting.name in ("operator.licence", "operator.region"):
        choices.insert(0, None)
    now = value_now(settings, setting) or None
    if now not in choices:
        return choices[0 if step > 0 else -1]
    return choices[(choices.index(now) + step) % len(choices)]
