"""Finds the key of the station file that somebody names. Pure."""

from __future__ import annotations

from collections.abc import Iterable

from fieldtui.radio.outside_text import RefusedError, quoted
from fieldtui.station.setting import Setting
from fieldtui.station.settings import SETTINGS
from fieldtui.station.values import text

KEYS = "screen.keys"
_MOST_NEAR = 3


def setting_named(name: str, actions: Iterable[str]) -> Setting:
    """Return the key of a name: `screen.theme`, or `theme` alone where no other section has one.

    `actions` are those of the screen: `screen.keys.identify`, or `keys.identify`, is the key of one.

    Raises:
        RefusedError: there is no such key, or more than one; the nearest names are told.
    """
    wanted = name.strip().lower().replace("-", "_")
    fitting = [each for each in SETTINGS if wanted in (each.name, each.key, each.option.replace("-", "_"))]
    whole = [each for each in fitting if wanted == each.name]
    if len(whole or fitting) == 1:
        return (whole or fitting)[0]
    if fitting:
        raise RefusedError(
            f"more than one section has {quoted(name)}", _any_of([each.name for each in fitting])
        )
    named = {action.replace("-", "_"): action for action in actions}
    action = named.get(wanted.removeprefix("screen.").removeprefix("keys."))
    if action and wanted.removeprefix("screen.").startswith("keys."):
        return key_setting(action)
    raise RefusedError(f"there is no key {quoted(name)}", _near(wanted, named.values()))


def key_setting(action: str) -> Setting:
    """The key of the keyboard that does something."""
    return Setting(KEYS, action, text(40), f"Key of the keyboard for {action}.", '"f2"')


def _near(wanted: str, actions: Iterable[str]) -> str:
    # Needed only once something was mistyped.
    from difflib import get_close_matches  # noqa: PLC0415

    names = {each.name: each.name for each in SETTINGS}
    names |= {f"{KEYS}.{action}": f"{KEYS}.{action}" for action in actions}
    names |= {each.key: each.name for each in SETTINGS}
    near = get_close_matches(wanted[:40], names, n=_MOST_NEAR, cutoff=0.6)
    if near:
        return f"perhaps {' or '.join(dict.fromkeys(names[each] for each in near))}"
    return "'fieldtui station set' lists them all"


def _any_of(names: list[str]) -> str:
    return f"{', '.join(names[:-1])} or {names[-1]}"
