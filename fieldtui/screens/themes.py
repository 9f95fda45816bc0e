"""Colours. No state is told by colour alone, so every theme may be as plain as it likes."""

from __future__ import annotations

from typing import Any

from textual.app import App
from textual.theme import Theme

from fieldtui.screens.theme_names import CONSOLE, NIGHT, PLAIN

_OWN = "ansi_default"
"""The terminal's own ink and paper: no colour is asked for."""


def _theme(
    name: str, *, ink: str, paper: str, warning: str, error: str, weak: str, selected: str, dark: bool
) -> Theme:
    """A theme in which whatever the library draws by itself has one of these colours too."""
    return Theme(
        name=name,
        primary=ink,
        secondary=ink,
        accent=ink,
        success=ink,
        foreground=ink,
        background=paper,
        surface=paper,
        panel=paper,
        boost=paper,
        warning=warning,
        error=error,
        dark=dark,
        variables={
            "foreground-darken-1": weak,
            "foreground-darken-2": weak,
            "foreground-muted": weak,
            "foreground-disabled": weak,
            "text-disabled": weak,
            "text-muted": weak,
            "border": ink,
            "border-blurred": weak,
            "input-cursor-background": ink,
            "input-cursor-foreground": paper,
            "input-selection-background": selected,
            "input-selection-foreground": ink,
            "screen-selection-background": selected,
            "screen-selection-foreground": ink,
            "scrollbar": weak,
            "scrollbar-hover": weak,
            "scrollbar-active": ink,
            "scrollbar-background": paper,
            "scrollbar-background-hover": paper,
            "scrollbar-background-active": paper,
            "scrollbar-corner-color": paper,
        },
    )


THEMES = {
    "sun": _theme(
        "sun", ink="#000000", paper="#ffffff", warning="#7a3b00", error="#a00000",
        weak="#333333", selected="#cccccc", dark=False,
    ),
    "dusk": _theme(
        "dusk", ink="#f4f4f4", paper="#000000", warning="#ffc040", error="#ff7060",
        weak="#c0c0c0", selected="#404040", dark=True,
    ),
    # Pure red on black has 5.25 to 1, and no red has more; less light spares the eyes.
    NIGHT: _theme(
        NIGHT, ink="#d00000", paper="#000000", warning="#e80000", error="#ff0000",
        weak="#c00000", selected="#300000", dark=True,
    ),
    PLAIN: Theme(
        name=PLAIN, ansi=True, dark=True, primary=_OWN, secondary=_OWN, accent=_OWN, success=_OWN, warning=_OWN,
        error=_OWN, foreground=_OWN, background=_OWN, surface=_OWN, panel=_OWN, boost=_OWN,
        variables={"ansi-background": _OWN, "ansi-foreground": _OWN},
    ),
}  # fmt: skip


def begin_with(app: App[Any], name: str) -> None:
    """Make the themes known to a program that is being made, and give it this one."""
    for each, theme in THEMES.items():
        app.register_theme(theme) if each not in app.available_themes else None
    if name == CONSOLE:
        app.theme = name
    else:
        # Set before anything is styled: changed later, the whole style sheet would be read once more.
        app.set_reactive(App.theme, name)
        app.stylesheet.set_variables(app.get_css_variables())
