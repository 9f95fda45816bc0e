"""The pages that a key opens over the session screen; none is imported before its key is pressed."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Protocol, TypeVar

from fieldtui.screens.parts.desk import Desk
from fieldtui.screens.parts.typing import Typing

if TYPE_CHECKING:
    from textual.screen import Screen

    from fieldtui.feeds.packet_sending import PacketSender

Result = TypeVar("Result")


class Push(Protocol):
    """Shows a page over what is there; `callback` hears what it was left with."""

    def __call__(
        self, screen: Screen[Result], callback: Callable[[Result | None], None] | None = None, /
    ) -> object:
        """Show it."""


class Pages:
    """Opens pages, each of which takes what it shows from the desk. `sender` is the gate to the modem's transmitter."""

    def __init__(
        self, push: Push, desk: Desk, typing: Typing, sender: Callable[[], PacketSender | None]
    ) -> None:
        self._push, self._desk, self._typing, self._sender = push, desk, typing, sender

    @property
    def acts(self) -> Mapping[str, Callable[[], None]]:
        """What keys open."""
        return {
            "battery": self.battery,
            "packets": self.packets,
            "plan": self.plan,
            "help": self.help,
            "form": self.form,
        }

    def battery(self) -> None:
        """The battery in detail."""
        from fieldtui.screens.pages.battery import BatteryScreen  # noqa: PLC0415

        self._push(BatteryScreen(self._desk))

    def packets(self) -> None:
        """Who was heard by packet, messages, and one packet of ours where the station file allows it."""
        from fieldtui.screens.pages.packets import PacketScreen  # noqa: PLC0415

        self._push(PacketScreen(self._desk, self._sender()))

    def plan(self) -> None:
        """What was planned beside what came, the kit list, and the cautions."""
        from fieldtui.screens.pages.plan import PlanScreen  # noqa: PLC0415

        self._push(PlanScreen(self._desk))

    def help(self) -> None:
        """Every key and every verb."""
        from fieldtui.screens.pages.help import HelpScreen  # noqa: PLC0415

        rule = self._desk.state.identification.rule
        self._push(HelpScreen(self._desk.setup.keys, rule, demo=self._desk.demo))

    def form(self) -> None:
        """Fields instead of a line: a new contact, or the one that `fix N` in the entry line names."""
        from fieldtui.screens.pages.form import open_form  # noqa: PLC0415

        open_form(self._push, self._desk, self._typing)
