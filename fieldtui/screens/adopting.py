"""Other settings taken while the screen runs: what was looked up once when it began is looked up again."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fieldtui.screens.theme_names import PLAIN
from fieldtui.session.deed import Deed
from fieldtui.session.law import region_events

if TYPE_CHECKING:
    from fieldtui.screens.app import SessionApp
    from fieldtui.screens.settings import Settings


def adopt(app: SessionApp, settings: Settings) -> None:
    """Take them: colours, keys, bell and saver at once, the rest with the next drawing, which is now."""
    before = app.setup.settings
    app.setup.adopt(settings)
    if settings.keys != before.keys:
        app.bind_keys()
    if settings.theme != before.theme:
        wear(app, settings.theme)
    if settings.region != before.region:
        # Into the journal: a later report counts by the Region that counted here.
        app.desk.submit(Deed(region_events(app.state, settings.region)))
    app.ringing.bells.on, app.pace.saver = settings.bell, settings.saver
    app.pace.keep(app.desk.seen())
    app.redraw()


def wear(app: SessionApp, theme: str) -> None:
    """Change the colours; without any, those that widgets of the library bring are taken out too."""
    plain = theme == PLAIN
    app.colourless.enabled = plain
    app.set_class(plain, "-plain")
    app.theme = theme
    app.ansi_color = plain or None
    app.refresh_css(animate=False)
