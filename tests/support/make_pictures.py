"""Draws docs/pictures from the real demo in a pseudo-terminal: python -m tests.support.make_pictures

The demo runs sixty times as fast; each picture takes about a minute.
"""

from __future__ import annotations

import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

from tests.support.svg_screen import svg_of
from tests.support.terminal import KEYS, Terminal, fieldtui

FOLDER = Path(__file__).parents[2] / "docs" / "pictures"
COLOURS = {"sun": ("000000", "ffffff"), "dusk": ("f4f4f4", "000000"), "night": ("d00000", "000000")}
TYPED = "w7qul/m 59 57 cn94ra Gil, Aspen Gate, card"


@dataclass(frozen=True, slots=True)
class Picture:
    """One picture: the size, the theme, what to wait for, and what is then typed, with the answer to each."""

    name: str
    title: str
    columns: int
    rows: int
    theme: str
    until: str
    steps: tuple[tuple[str, str], ...] = ()


PICTURES = (
    Picture("session-60x20", "The session screen on a small panel, 60x20, theme sun", 60, 20, "sun", "K7QUL"),
    Picture(
        "session-80x24",
        "The session screen, 80x24, theme dusk, while a contact is typed",
        80,
        24,
        "dusk",
        "KF7QSY",
        ((TYPED, "Whiskey Seven"),),
    ),
    Picture(
        "session-120x40",
        "The session screen, 120x40, theme dusk",
        120,
        40,
        "dusk",
        "KC7QTV",
        (("", "last sent"),),
    ),
    Picture(
        "channels-80x24",
        "The frequency plan over the contacts, 80x24, theme night",
        80,
        24,
        "night",
        "VE7QRZ",
        ((KEYS["f4"], "part of a name"), ("simplex", "simplex 3")),
    ),
    Picture(
        "battery-80x24",
        "The battery in detail, 80x24, theme dusk",
        80,
        24,
        "dusk",
        "KF7QSY",
        (("\x1b[15~", "milliohms"),),
    ),
    Picture(
        "packets-80x24",
        "Stations heard by packet, 80x24, theme dusk",
        80,
        24,
        "dusk",
        "KF7QSY",
        ((KEYS["f12"], "seen"),),
    ),
    Picture("session-night-80x24", "The session screen, 80x24, theme night", 80, 24, "night", "KF7QSY"),
)


def draw(picture: Picture) -> str:
    """Run the demo until the picture's moment; returns the SVG."""
    command = fieldtui("demo", "--pace", "60", "--start", "2026-06-14T16:50", "--theme", picture.theme)
    with tempfile.TemporaryDirectory() as home:
        # Seven hours behind UTC, as in the outing's part of the world.
        environment = {"HOME": home, "TZ": "PDT7", "COLORTERM": "truecolor"}
        with Terminal(
            command, columns=picture.columns, rows=picture.rows, environment=environment
        ) as terminal:
            terminal.wait_for(picture.until, seconds=150)
            for keys, answer in picture.steps:
                terminal.send(keys)
                terminal.wait_for(answer)
            time.sleep(1.2)
            ink, paper = COLOURS[picture.theme]
            return svg_of(terminal.screen, picture.title, ink=ink, paper=paper)


def main(names: list[str]) -> None:
    """Draw all pictures, or those named."""
    FOLDER.mkdir(parents=True, exist_ok=True)
    for picture in PICTURES:
        if not names or picture.name in names:
            path = FOLDER / f"{picture.name}.svg"
            path.write_text(draw(picture), encoding="utf-8")
            print(f"{path.name}: {path.stat().st_size} bytes")


if __name__ == "__main__":
    main(sys.argv[1:])
