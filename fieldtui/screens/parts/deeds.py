"""Keys that act on the session at once: call given, over, undo, place, close, leave."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from fieldtui.screens.parts.desk import Desk
from fieldtui.screens.parts.said import Said
from fieldtui.session.deeds import close, identify, place_of_fix, toggle_over
from fieldtui.session.identification.demands import Need
from fieldtui.session.taking_back import redo, undo


class Deeds:
    """What is done without typing; what cannot be taken back is asked about first."""

    def __init__(self, desk: Desk, said: Said, leave_now: Callable[[], None]) -> None:
        self._desk, self._said, self._leave_now = desk, said, leave_now

    @property
    def acts(self) -> Mapping[str, Callable[[], None]]:
        """What keys do."""
        return {
            "identify": self.identify,
            "over": self.over,
            "undo": self.undo,
            "redo": self.redo,
            "place": self.place,
            "close": self.close,
            "leave": self.leave,
        }

    def identify(self) -> None:
        """The call was given just now."""
        self._desk.submit(identify(self._desk.state))

    def over(self) -> None:
        """A transmission begins or ends."""
        self._desk.submit(toggle_over(self._desk.outlook))

    def undo(self) -> None:
        """The newest act is taken back, whatever it was."""
        self._desk.submit(undo(self._desk.outlook))

    def redo(self) -> None:
        """What was taken back last is brought back."""
        self._desk.submit(redo(self._desk.outlook))

    def place(self) -> None:
        """The station is where the position receiver says."""
        self._desk.submit(place_of_fix(self._desk.state))

    def close(self) -> None:
        """Close the session, after asking."""
        deed, seen = close(self._desk.outlook), self._desk.seen()
        if deed.refusal:
            self._desk.submit(deed)
        else:
            need = seen.state.identification.view(seen.now).need
            owed = "" if need is Need.QUIET else "; your call is still owed"
            self._said.ask(
                f"y closes the session for good, n does not{owed}", lambda: self._desk.submit(deed)
            )

    def leave(self) -> None:
        """Leave the screen; asks while a session is open."""
        if self._desk.state.begun:
            words = "y leaves, n stays: the session stays open, and goes on next time"
            self._said.ask(words, self._leave_now)
        else:
            self._leave_now()
