"""Keys that act on the session at once: call given, over, undo, place, close, leave."""

from __future__ import annotations

from fieldtui.screens.typing_app import TypingApp
from fieldtui.session.deeds import close, identify, place_of_fix, toggle_over
from fieldtui.session.identification.demands import Need
from fieldtui.session.taking_back import redo, undo


class DeedsApp(TypingApp):
    """A program with an entry line and keys for what is done without typing. What it looks like is left open."""

    def action_identify(self) -> None:
        """The call was given just now."""
        self.submit(identify(self.state))

    def action_over(self) -> None:
        """A transmission begins or ends."""
        self.submit(toggle_over(self.link.outlook))

    def action_undo(self) -> None:
        """The newest act is taken back, whatever it was."""
        self.submit(undo(self.link.outlook))

    def action_redo(self) -> None:
        """What was taken back last is brought back."""
        self.submit(redo(self.link.outlook))

    def action_form(self) -> None:
        """Fields instead of a line: a new contact, or the one that `fix N` in the entry line names."""
        from fieldtui.screens.pages.form import open_form  # noqa: PLC0415  (before its key is pressed nobody needs it)

        open_form(self)

    def action_place(self) -> None:
        """The station is where the position receiver says."""
        self.submit(place_of_fix(self.state))

    def action_close(self) -> None:
        """Close the session, after asking."""
        deed = close(self.link.outlook)
        if deed.refusal:
            self.submit(deed)
        else:
            need = self.state.identification.view(self.state.now(self.settings.clock.now())).need
            owed = "" if need is Need.QUIET else "; your call is still owed"
            self.ask(f"y closes the session for good, n does not{owed}", lambda: self.submit(deed))

    def action_leave(self) -> None:
        """Leave the screen; asks while a session is open."""
        if self.state.begun:
            words = "y leaves, n stays: the session stays open, and goes on next time"
            self.ask(words, self.leave_now)
        else:
            self.leave_now()

    async def action_quit(self) -> None:
        """Textual's own quit key does what ours does."""
        self.action_leave()

    def leave_now(self) -> None:
        """Stop the feeds, write and sync what is left, restore the terminal."""
        if self.intended_exit:
            return
        self.intended_exit = True
        self.exit(self.link.stop())
