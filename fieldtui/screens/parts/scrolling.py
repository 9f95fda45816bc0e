"""How far the list of contacts is scrolled back."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from fieldtui.screens.parts.desk import Desk
from fieldtui.screens.widgets import Lines


class Scrolling:
    """The list in its pane. `moved` draws it."""

    def __init__(self, pane: Lines, desk: Desk, moved: Callable[[], None]) -> None:
        self.skip = 0
        """How many newer contacts the list leaves out."""
        self._pane, self._desk, self._moved = pane, desk, moved

    @property
    def acts(self) -> Mapping[str, Callable[[], None]]:
        """What keys do."""
        return {"older": self.older, "newer": self.newer}

    def older(self) -> None:
        """A page back."""
        _, rows = self._pane.room
        contacts = self._desk.state.contacts
        standing = len(contacts.standing()) + len(list(contacts.open_heard()))
        self.skip = max(0, min(self.skip + max(1, rows - 1), standing - rows))
        self._moved()

    def newer(self) -> None:
        """A page on."""
        _, rows = self._pane.room
        self.skip = max(0, self.skip - max(1, rows - 1))
        self._moved()

    def newest(self) -> None:
        """To the end, where what is logged is shown at once; whoever logs it draws it."""
        self.skip = 0
