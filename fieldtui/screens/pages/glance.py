"""What a key does while a page is shown that any key shuts."""

from __future__ import annotations

from typing import Any

from textual import events
from textual.app import App


def goes_on(app: App[Any], event: events.Key | events.Paste) -> bool:
    """Close a page that any key shuts, if one is shown; returns whether the key goes on to whoever is next."""
    if len(app.screen_stack) < 2:
        return True
    from fieldtui.screens.pages.base import GlancePage  # noqa: PLC0415  (loaded already, where a page is shown)

    page = app.screen
    if not isinstance(page, GlancePage) or page.uses(event):
        return True
    app.pop_screen()
    return page.lets_through(event)
