"""What is drawn at this moment: the parts are asked, and what they say is handed to `Drawing` as values."""

from __future__ import annotations

from fieldtui.screens.parts.desk import Desk
from fieldtui.screens.parts.drawing import Drawing
from fieldtui.screens.parts.panes import Panes
from fieldtui.screens.parts.ringing import Ringing
from fieldtui.screens.parts.said import Said
from fieldtui.screens.parts.scrolling import Scrolling
from fieldtui.screens.parts.typing import Typing
from fieldtui.screens.views.seen import Seen


class Picture:
    """The whole screen, or a part of it; nothing is drawn before the panes know their room."""

    def __init__(
        self,
        panes: Panes,
        desk: Desk,
        said: Said,
        ringing: Ringing,
        scrolling: Scrolling,
        *,
        typing: Typing,
    ) -> None:
        self._panes, self._drawing = panes, Drawing(panes, desk.setup)
        self._desk, self._said, self._ringing = desk, said, ringing
        self._scrolling, self._typing = scrolling, typing
        self._begun = False
        self._unread = ""
        """What the read-back had no room for."""
        panes.before_paint(self._begin)

    def _begin(self) -> None:
        """As soon as the panes know their room: the first paint shows what there is, and is not a blank."""
        if not self._begun:
            self._begun = True
            self.everything()

    def everything(self) -> None:
        """Each pane repaints only what changed."""
        self.alert()
        if not self._begun:
            return
        seen = self._desk.seen()
        self.times(seen)
        self.contacts()
        self._drawing.tuning(seen, lambda: self._typing.choosing.choice)
        self.typing()
        self.message()
        self._drawing.keys()

    def second(self, seen: Seen) -> None:
        """What changes by itself; while the journal is read, the time goes on, whatever the disk does."""
        self.alert()
        if seen.ready:
            self.times(seen)
        else:
            self._drawing.clock(seen)

    def alert(self) -> None:
        """What is wrong with saving."""
        self._panes.alert(self._desk.alert)

    def times(self, seen: Seen) -> None:
        """Clock, feeds, identification, battery, and the reminder if nothing was said."""
        self._drawing.times(seen)
        if not self._said.message:
            self.message()

    def contacts(self) -> None:
        """The list."""
        self._drawing.contacts(self._desk.seen(), skip=self._scrolling.skip, known=self._desk.list_known)

    def typing(self) -> None:
        """How the typed line was understood, and what is known of its call."""
        before = self._unread
        self._unread = self._drawing.typing(self._desk.seen(), self._typing.typed)
        if self._unread != before:
            self.message()

    def message(self) -> None:
        """What was said last, a question, or the reminder that waits; and a doubt that had no room elsewhere."""
        self._drawing.message(self._said.words or self._ringing.reminder(self._desk.seen()), self._unread)
