"""What every key of the session screen does."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial

from msgspec.structs import replace

from fieldtui.screens.keys import ACTIONS, way_out
from fieldtui.screens.parts.choosing import Choosing
from fieldtui.screens.parts.desk import Desk
from fieldtui.screens.parts.pace import Pace
from fieldtui.screens.parts.panes import Panes
from fieldtui.screens.parts.ringing import Ringing
from fieldtui.screens.parts.said import Said
from fieldtui.screens.parts.scrolling import Scrolling
from fieldtui.screens.parts.typing import Typing

Acts = Mapping[str, Callable[[], None]]


class Keyboard:
    """From keys to what the parts do. `acts` are those of other parts, `dismiss` is what Escape does."""

    def __init__(
        self,
        panes: Panes,
        desk: Desk,
        said: Said,
        acts: Acts,
        *,
        typing: Typing,
        choosing: Choosing,
        scrolling: Scrolling,
        ringing: Ringing,
        pace: Pace,
        dismiss: Callable[[], None],
    ) -> None:
        self._panes, self._desk, self._said = panes, desk, said
        self._typing, self._choosing, self._scrolling = typing, choosing, scrolling
        self._ringing, self._pace = ringing, pace
        self._dismiss = dismiss
        self.acts: Acts = {
            **acts,
            "channels": self._channels,
            "dismiss": dismiss,
            "older": partial(self._turn, -1),
            "newer": partial(self._turn, 1),
            "mute": self._mute,
            "saver": self._save_power,
        }
        """What each action of `keys.ACTIONS` does, by its name."""

    def orders(self) -> Acts:
        """What each key does, with those that always do the same."""
        keys, typing = self._desk.setup.keys, self._typing
        # Where two actions were given one key, the first of the list has it, as the notice says.
        pairs = [(key, each.name) for each in reversed(ACTIONS) for key in (keys[each.name], each.also)]
        return {
            **{key: self.acts[name] for key, name in pairs if key},
            "enter": typing.enter,
            "tab": typing.complete,
            "up": partial(typing.arrow, -1),
            "down": partial(typing.arrow, 1),
            "ctrl+c": lambda: self._said.say(way_out(self._desk.setup.keys)),
        }

    def _channels(self) -> None:
        """Show the list of channels, or close it."""
        if self._choosing.open:
            self._dismiss()
        else:
            self._choosing.show()

    def _turn(self, way: int) -> None:
        """A page up or down in the list of channels while that is shown, else in the list of contacts."""
        if self._choosing.open:
            self._typing.arrow(way * max(1, self._panes["plan"].room[1] - 2))
        elif way < 0:
            self._scrolling.older()
        else:
            self._scrolling.newer()

    def _mute(self) -> None:
        self._said.say(self._ringing.mute())
        setup = self._desk.setup
        setup.adopt(replace(setup.settings, bell=self._ringing.bells.on))

    def _save_power(self) -> None:
        self._said.say(self._pace.switch(self._desk.seen()))
        setup = self._desk.setup
        setup.adopt(replace(setup.settings, saver=self._pace.saver))
