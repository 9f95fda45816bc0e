"""An input that does what its keys say in the order in which they were typed."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping

from textual import events
from textual.binding import BindingsMap
from textual.widgets import Input

MOST_HELD = 4000
"""Keys that wait: more than anybody types while a journal is read."""


class OrderedInput(Input):
    """Textual runs the bindings of an input only after a key has travelled up to the program and back.

    Measured on 8.2: of `card`, four backspaces and `Ada` arriving in one piece, as they do over a slow link,
    `car` is left, because the letters overtake the backspaces. Here a key acts at once, in its turn.
    """

    typing_orders: Collection[str] = ("enter", "tab", "up", "down")
    """Orders that are about the typed line, and so keep their place among the letters."""

    def __init__(self, value: str = "", *, id: str | None = None) -> None:  # noqa: A002  (Textual's own word)
        super().__init__(value, id=id, compact=True, select_on_focus=False)
        self.cursor_blink = False
        # Only what edits: bindings of the classes above Input scroll, and must go on to the screen.
        own = [*Input.BINDINGS, *vars(type(self)).get("BINDINGS", ())]
        self._editing = BindingsMap(own).key_to_bindings
        self.orders: Mapping[str, Callable[[], None]] = {}
        """What keys do beyond editing; they go first."""
        self._held: list[events.Key | events.Paste] | None = None

    def hold(self, key: str) -> None:
        """Let this key, and all typing after it, wait for `release`; orders of other keys go on being obeyed."""
        if not self.holds:
            self._wait(events.Key(key, None))

    async def release(self) -> None:
        """Do what was held, in the order of typing."""
        held, self._held = self._held or [], None
        for at, event in enumerate(held):
            if isinstance(event, events.Paste):
                self.insert_text_at_cursor(self.cleaned(event.text))
            elif not await self._act(event) and event.character and event.is_printable:
                self.insert_text_at_cursor(event.character)
            if self.holds:
                # Held again by what was just done.
                self._wait(*held[at + 1 :])
                return

    async def _on_key(self, event: events.Key) -> None:
        """Run an order or a binding; what is left is text, for the class above."""
        if self.holds and not self._goes_before(event.key):
            self._wait(event)
        elif not await self._act(event):
            return
        event.stop()
        event.prevent_default()

    def _on_paste(self, event: events.Paste) -> None:
        """Let a paste wait with the keys, or leave it to the class above."""
        if self.holds:
            event.stop()
            event.prevent_default()
            self._wait(event)

    def cleaned(self, text: str) -> str:
        """What of a paste that waited is taken."""
        return text.partition("\n")[0]

    @property
    def holds(self) -> bool:
        """Whether typing waits."""
        return self._held is not None

    def _wait(self, *typed: events.Key | events.Paste) -> None:
        self._held = [*(self._held or []), *typed][:MOST_HELD]

    def _goes_before(self, key: str) -> bool:
        """Whether a key is not typing: it neither changes the line nor acts on what stands in it."""
        return key in self.orders and key not in self.typing_orders

    async def _act(self, event: events.Key) -> bool:
        """Run the order or the binding of a key, if it has one."""
        order = self.orders.get(event.key)
        bindings = self._editing.get(event.key)
        if order is not None:
            order()
        elif bindings:
            await self.run_action(bindings[0].action)
        return order is not None or bool(bindings)
