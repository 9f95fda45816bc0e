"""What keys do, by key: for the entry line, which obeys in the order of typing, and for the screen, which asks it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial

from fieldtui.screens.keys import ACTIONS, way_out
from fieldtui.screens.parts.said import Said
from fieldtui.screens.parts.setup import Setup
from fieldtui.screens.parts.typing import Typing


def orders_of(
    setup: Setup, act: Callable[[str], None], typing: Typing, said: Said
) -> Mapping[str, Callable[[], None]]:
    """Every key that does something beyond editing; `act` does an action by its name."""
    # Where two actions were given one key, the first of the list has it, as the notice says.
    pairs = [(key, each.name) for each in reversed(ACTIONS) for key in (setup.keys[each.name], each.also)]
    return {
        **{key: partial(act, name) for key, name in pairs if key},
        "enter": typing.enter,
        "tab": typing.complete,
        "up": partial(typing.arrow, -1),
        "down": partial(typing.arrow, 1),
        "ctrl+c": lambda: said.say(way_out(setup.keys)),
    }
