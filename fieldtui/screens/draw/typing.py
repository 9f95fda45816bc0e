"""The read-back of what is typed, from what the program knows at this moment."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fieldtui.screens.draw.compass import compass_east
from fieldtui.screens.draw.read_back import Manner, read_back

if TYPE_CHECKING:
    from fieldtui.entry.lines import Line as Typed
    from fieldtui.live.past_calls import Answer
    from fieldtui.screens.draw.panes import Line
    from fieldtui.screens.settings import Settings
    from fieldtui.session.state import SessionState


def typed_lines(
    typed: Typed, past: Answer, state: SessionState, settings: Settings, width: int, *, news: str = ""
) -> list[Line]:
    """Three lines: who, what, and anything to be said about it; `past` is what earlier journals tell of the call."""
    east_deg = compass_east(state.place.locator, settings.clock.now().at.year)
    manner = Manner(settings.miles, settings.figures, east_deg)
    return read_back(typed, state, width, manner=manner, past=past, news=news)
