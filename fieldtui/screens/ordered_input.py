"""An input that does what its keys say in the order in which they were typed."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from textual import events
from textual.binding import BindingsMap
from textual.widgets import Input


class OrderedInput(Input):
    """Textual runs the bindings of an input only after a key has travelled up to the program and back.

    Measured on 8.2: of `card`, four backspaces and `Ada` arriving in one piece, as they do over a slow link,
    `car` is left, because the letters overtake the backspaces. Here a key acts at once, in its turn.
    """

    def __init__(self, value: str = "", *, id: str | None = None) -> None:  # noqa: A002  (Textual's own word)
        super().__init__(value, id=id, compact=True, select_on_focus=False)
        self.cursor_blink = False
        # Only what edits: bindings of the classes above Input scroll, and must go on to the screen.
        own = [*Input.BINDINGS, *vars(type(self)).get("BINDINGS", ())]
        self._editing = BindingsMap(own).key_to_bindings
        self.orders: Mapping[str, Callable[[], None]] = {}
        """What keys do beyond editing; they go first."""

    async def _on_key(self, event: events.Key) -> None:
        """Run an order or a binding; what is left is text, for the class above."""
        order = self.orders.get(event.key)
        bindings = self._editing.get(event.key)
        if order is None and not bindings:
            return
        event.stop()
        event.prevent_default()
        if order is not None:
            order()
        elif bindings:
            await self.run_action(bindings[0].action)
