"""How often the screen is drawn: every second, or more seldom on battery-saver mode."""

from __future__ import annotations

from collections.abc import Callable

from fieldtui.screens.views.seen import Seen
from fieldtui.session.identification.demands import Need

SAVER_SECONDS = 5.0
"""Between two drawings on battery-saver mode, while nothing is urgent."""


class Pace:
    """Decides how often; what is urgent is shown every second all the same. `every` has it drawn so often."""

    def __init__(self, *, saver: bool, every: Callable[[float], None]) -> None:
        self.saver = saver
        self.seconds = 1.0
        """From one drawing to the next."""
        self._every = every

    def keep(self, seen: Seen) -> None:
        """Change the pace if this moment asks for it."""
        seconds = SAVER_SECONDS if self.saver and not _urgent(seen) else 1.0
        if seconds != self.seconds:
            self.seconds = seconds
            self._every(seconds)

    def switch(self, seen: Seen) -> str:
        """Battery-saver mode on or off; returns what to say of it."""
        self.saver = not self.saver
        self.keep(seen)
        if self.saver:
            return f"battery saver on: drawn every {SAVER_SECONDS:.0f} s while nothing is urgent"
        return "battery saver off: drawn every second"


def _urgent(seen: Seen) -> bool:
    state = seen.state
    view = state.identification.view(seen.now)
    return view.need is not Need.QUIET or state.sending or bool(state.power.alarms)
