"""The battery in detail: everything that can be said of it, and the session's volts with its transmissions."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.app import ComposeResult
from textual.containers import Container

from fieldtui.screens.draw.battery_detail import battery_detail_lines
from fieldtui.screens.pages.base import GlancePage, LivePage
from fieldtui.screens.views.feed_troubles import BATTERY
from fieldtui.screens.views.feeds_now import troubles
from fieldtui.screens.widgets import Lines

if TYPE_CHECKING:
    from fieldtui.screens.parts.desk import Desk


class BatteryScreen(GlancePage, LivePage):
    """Any key closes it. Redrawn every second while it is shown."""

    def __init__(self, session: Desk) -> None:
        super().__init__(demo=session.demo)
        self._session = session

    def contents(self) -> ComposeResult:
        """One page of lines."""
        with Container():
            pane = Lines(id="detail")
            pane.glyphs = self._session.setup.settings.glyphs
            yield pane

    def draw(self) -> None:
        """From the folded state, and how its feeds are doing now."""
        session, pane = self._session, self.query_one("#detail", Lines)
        now = session.state.now(session.setup.settings.clock.now())
        silent = [
            each.full
            for each in troubles(session.seen(), pace=session.setup.settings.pace)
            if each.feed in BATTERY
        ]
        glyphs = session.setup.settings.glyphs
        pane.show(battery_detail_lines(session.state, now, *pane.room, glyphs, troubles=silent))
