"""Running the session screen in a terminal."""

from __future__ import annotations

import os

from fieldtui.journal.file import Draft
from fieldtui.screens.app import SessionApp
from fieldtui.screens.driver import FieldDriver
from fieldtui.screens.settings import Settings


def run_session(settings: Settings) -> tuple[int, list[Draft]]:
    """Run the screen until it is left; returns the exit code and what could not be saved.

    Textual ends some crashes with exit code 0, so an end that nobody asked for is counted as a failure here.
    """
    app = SessionApp(settings, driver_class=FieldDriver)
    unsaved = app.run(mouse=bool(os.environ.get("FIELDTUI_MOUSE")))
    if not app.intended_exit:
        unsaved = app.link.stop()
    return (0 if app.intended_exit else 1), unsaved or []
