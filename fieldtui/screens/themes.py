"""Colours. No state is told by colour alone, so every theme may be as plain as it likes."""

from __future__ import annotations

from textual.theme import Theme

THEMES = {
    "sun": Theme(
        name="sun",
        primary="#000000",
        foreground="#000000",
        background="#ffffff",
        surface="#ffffff",
        panel="#ffffff",
        warning="#7a3b00",
        error="#a00000",
        dark=False,
    ),
    "dusk": Theme(
        name="dusk",
        primary="#e8e8e8",
        foreground="#f4f4f4",
        background="#000000",
        surface="#000000",
        panel="#000000",
        warning="#ffc040",
        error="#ff6050",
        dark=True,
    ),
    "night": Theme(
        name="night",
        primary="#c00000",
        foreground="#c00000",
        background="#000000",
        surface="#000000",
        panel="#000000",
        warning="#d80000",
        error="#ff0000",
        dark=True,
        variables={
            "input-cursor-background": "#c00000",
            "input-cursor-foreground": "#000000",
            "input-selection-background": "#600000",
        },
    ),
}
