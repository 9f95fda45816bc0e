"""How far the list of contacts is scrolled back."""

from __future__ import annotations

from collections.abc import Callable

from fieldtui.screens.parts.desk import Desk
from fieldtui.screens.widgets import Lines


class Scrolling:
    """The list in its pane. `moved` draws it."""

    def __init__(self, pane: Lines, desk: Desk, moved: Callable[[], None]) -> None:
        self.skip = 0
        """How many newer contacts the list leaves out."""
        self._pane, self._desk, self._moved = pane, desk, moved

    def older(self) -> None:
        """A page back."""
        _, rows = self._pane.room
        contacts = self._desk.state.contacts
        standing = len(contacts.standing()) + len(list(contacts.open_heard()))
        page = max(1, rows - 1)  # the last row says that there are newer ones
        self.skip = max(0, min(self.skip + page, standing - page)) if standing > rows else 0
        self._moved()

    def newer(self) -> None:
        """A page on."""
        _, rows = self._pane.room
        self.skip = max(0, self.skip - max(1, rows - 1))
        self._moved()

    def newest(self) -> None:
        """To the end, where what is logged is shown at once; whoever logs it draws it."""
        self.skip = 0
