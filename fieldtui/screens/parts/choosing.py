"""The frequency plan, which borrows the entry line to choose a channel from it."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from fieldtui.screens.parts.desk import Desk
from fieldtui.screens.widgets.entry_line import EntryLine
from fieldtui.session.channel_choice import ChannelChoice, choose, fitting, moved
from fieldtui.session.deed import Deed
from fieldtui.session.deeds import leaving, tune_to
from fieldtui.session.state import SessionState

if TYPE_CHECKING:
    from fieldtui.radio.channels.plan import Channel

CHANNEL_VERB = "channel "


class Choosing:
    """While the plan is shown, the entry line chooses from it; what was half typed comes back afterwards.

    `shown` is told whether the plan is shown now, or the contacts, and that the line says something else.
    """

    def __init__(self, entry: EntryLine, desk: Desk, shown: Callable[[bool], None]) -> None:
        self.open = False
        self._entry, self._desk = entry, desk
        self._shown = shown
        self._row: int | None = None
        """The row that the arrows chose, until something else is typed."""
        self._asked: tuple[str, str, int, int] | None = None
        self._fitting: tuple[Channel, ...] = ()
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
        """Whether the line says that a channel is wanted, and neither words nor arrows say which."""
        return self._entry.value.strip() == CHANNEL_VERB.strip() and self._row is None

    @property
    def choice(self) -> ChannelChoice:
        """The channels that fit what was typed, and which of them Enter takes."""
        wanted, plan, state = (
            self.wanted or "",
            self._desk.setup.settings.plan_of(self._desk.state),
            self._desk.state,
        )
        # A long plan takes a while to sort: once for what is typed, not at every drawing of it.
        asked = (wanted, plan.name, len(plan.channels), state.lines)
        if asked != self._asked:
            self._asked, self._fitting = asked, fitting(plan, wanted, state)
        return choose(self._fitting, wanted, None if self.wanted is None else self._row)

    def arrow(self, steps: int) -> None:
        """An arrow or a page key: another row is chosen."""
        self._row = moved(self.choice, steps, self._desk.state.tuning.hertz)

    def begin_anew(self) -> None:
        """Something else is typed: the best that fits is chosen again."""
        self._row = None

    def deed(self, outlook: SessionState) -> Deed | None:
        """Tune what the plan marks; None while nothing is chosen."""
        channel = self.choice.taken if self.open else None
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
        self._row = None
        if self._entry.value.strip() not in ("", CHANNEL_VERB.strip()):
            self._entry.remember(self._entry.value)
        text, self._stash = self._stash, ""
        self._entry.put(text)
        self._shown(False)
