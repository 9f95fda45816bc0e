"""The read-back of what is typed, from what the program knows at this moment."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fieldtui.entry.lines import ContactLine
from fieldtui.live.past_calls import Answer
from fieldtui.screens.draw.compass import compass_east
from fieldtui.screens.draw.read_back import Manner, read_back
from fieldtui.screens.views.newness import typed_news

if TYPE_CHECKING:
    from fieldtui.screens.app import SessionApp
    from fieldtui.screens.draw.panes import Line


def typed_lines(app: SessionApp, width: int) -> list[Line]:
    """Three lines: who, what, and anything to be said about it."""
    line, past, news = app.line, Answer(), ""
    if isinstance(line, ContactLine):
        past = app.past(line.call)
        news = typed_news(line, app.state, past, app.knows_square)
    return read_back(line, app.state, width, manner=_manner(app), past=past, news=news)


def _manner(app: SessionApp) -> Manner:
    settings = app.settings
    east_deg = compass_east(app.state.place.locator, settings.clock.now().at.year)
    return Manner(settings.miles, settings.figures, east_deg)
