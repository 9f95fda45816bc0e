"""The pages that a key opens over the session screen; none is imported before its key is pressed."""

from __future__ import annotations

from textual import events

from fieldtui.screens.journal_app import JournalApp
from fieldtui.screens.pages.glance import goes_on


class PagesApp(JournalApp):
    """A program over one journal that can open its pages."""

    async def on_event(self, event: events.Event) -> None:
        """Close a page that any key shuts before the key goes on: keys that come in one piece all find it shut."""
        if not isinstance(event, events.Key | events.Paste) or event.is_forwarded or goes_on(self, event):
            await super().on_event(event)

    def action_battery(self) -> None:
        """The battery in detail."""
        from fieldtui.screens.pages.battery import BatteryScreen  # noqa: PLC0415

        self.push_screen(BatteryScreen(self))

    def action_packets(self) -> None:
        """Who was heard by packet, messages, and one packet of ours where the station file allows it."""
        from fieldtui.screens.pages.packets import PacketScreen  # noqa: PLC0415

        self.push_screen(PacketScreen(self, self.link.feeds.sender if self.link.feeds else None))

    def action_plan(self) -> None:
        """What was planned beside what came, the kit list, and the cautions."""
        from fieldtui.screens.pages.plan import PlanScreen  # noqa: PLC0415

        self.push_screen(PlanScreen(self))

    def action_settings(self) -> None:
        """Colours, units, bell, keys, region, licence."""
        from fieldtui.screens.pages.settings import SettingsScreen  # noqa: PLC0415

        self.push_screen(SettingsScreen(self, self.adopt))

    def action_help(self) -> None:
        """Every key and every verb."""
        from fieldtui.screens.pages.help import HelpScreen  # noqa: PLC0415

        self.push_screen(HelpScreen(self))
