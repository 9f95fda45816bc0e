"""The frequency plan, which borrows the entry line to choose a channel from it."""

from __future__ import annotations

from collections.abc import Callable

from fieldtui.screens.draw.plan import chosen_channel
from fieldtui.screens.parts.setup import Setup
from fieldtui.screens.widgets.entry_line import EntryLine
from fieldtui.session.deed import Deed
from fieldtui.session.deeds import leaving, tune_to
from fieldtui.session.state import SessionState

CHANNEL_VERB = "channel "


class Choosing:
    """While the plan is shown, the entry line chooses from it; what was half typed comes back afterwards.

    `shown` is told whether the plan is shown now, or the contacts, and that the line says something else.
    """

    def __init__(self, entry: EntryLine, setup: Setup, shown: Callable[[bool], None]) -> None:
        self.open = False
        self._entry, self._setup = entry, setup
        self._shown = shown
        self._stash = ""
        """What was half typed when the plan was opened."""

    @property
    def wanted(self) -> str | None:
        """What was typed to find a channel, while the plan is shown."""
        if not self.open or not self._entry.value.startswith(CHANNEL_VERB):
            return None
        return self._entry.value.removeprefix(CHANNEL_VERB).strip()

    @property
    def nothing_wanted(self) -> bool:
        """Whether the line says that a channel is wanted, and not which."""
        return self._entry.value.strip() == CHANNEL_VERB.strip()

    def deed(self, outlook: SessionState) -> Deed | None:
        """Tune what the plan marks; None while nothing is chosen."""
        channel = chosen_channel(self._setup.settings.plan_of(outlook), self.wanted) if self.wanted else None
        return leaving(tune_to(channel), outlook) if channel else None

    def show(self) -> None:
        """Show the plan, and begin to choose."""
        self._stash = self._entry.value
        self.open = True
        self._entry.put(CHANNEL_VERB)
        self._shown(True)

    def shut(self) -> None:
        """Show the contacts again, and what was half typed."""
        if not self.open:
            return
        self.open = False
        if self._entry.value.strip() not in ("", CHANNEL_VERB.strip()):
            self._entry.remember(self._entry.value)
        text, self._stash = self._stash, ""
        self._entry.put(text)
        self._shown(False)
