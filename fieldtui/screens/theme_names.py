"""Which theme fits; apart from the colours, so that choosing one imports no Textual."""

from __future__ import annotations

from fieldtui.station.theme_names import THEMES

NIGHT = "night"
"""Nothing but red on black."""

PLAIN = "plain"
"""No colour at all: bold, underlined, reversed."""

NAMES = THEMES

CONSOLE = "ansi-dark"
"""For the Linux console: its own sixteen colours."""


def theme_for(term: str, wanted: str | None) -> str:
    """The theme that was asked for, or the one that a terminal can show."""
    if wanted in NAMES:
        return wanted
    return CONSOLE if term == "linux" else "dusk"
