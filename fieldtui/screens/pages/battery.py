"""The battery in detail: everything that can be said of it, and the session's volts with its transmissions."""

from __future__ import annotations

from collections.abc import Sequence

from fieldtui.screens.draw.battery_detail import battery_detail_lines
from fieldtui.screens.draw.panes import Line
from fieldtui.screens.pages.lines_page import GlanceLinesPage
from fieldtui.screens.views.feed_troubles import BATTERY
from fieldtui.screens.views.feeds_now import troubles


class BatteryScreen(GlanceLinesPage):
    """Any key closes it, arrows scroll. Redrawn every second while it is shown."""

    def page_lines(self, width: int, rows: int) -> Sequence[Line]:
        """From the folded state, and how its feeds are doing now."""
        session, settings = self.session, self.session.setup.settings
        now = session.state.now(settings.clock.now())
        told = troubles(session.seen(), pace=settings.pace)
        silent = [each.full for each in told if each.feed in BATTERY]
        return battery_detail_lines(session.state, now, width, rows, settings.glyphs, troubles=silent)
