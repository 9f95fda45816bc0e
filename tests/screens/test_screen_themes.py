"""Every theme on every page: what is really drawn can be read, and night is nothing but red."""

from __future__ import annotations

import re
from collections.abc import AsyncIterator
from pathlib import Path

import pytest
from rich.color import ColorType
from rich.style import Style

from fieldtui.screens.keys import ACTIONS, PAGES, shown_key
from fieldtui.screens.theme_names import CONSOLE, NIGHT, PLAIN
from tests.screens.scenes import outing, play
from tests.support.session import Session, help_words, session

Rgb = tuple[int, int, int]

OPENED_BY = ("f1", "f4", "f5", "f6", "f12", "ctrl+p")
"""Help, channels, battery, form, packets, plan."""
SECONDARY = 4.5
LEAST = {"sun": 7.0, "dusk": 7.0, NIGHT: 3.0}
"""WCAG 2.1, 1.4.6 (7 to 1); for what is secondary 1.4.3 (4.5 to 1).

Night: pure red on black has 5.25 to 1, no red has more, and less light spares the eyes. 3 to 1 is what 1.4.3 asks
of large text, and 1.4.11 of everything that is not text.
"""


def luminance(colour: Rgb) -> float:
    """Relative luminance (WCAG 2.1, definition of relative luminance)."""
    parts = [part / 255 for part in colour]
    red, green, blue = (
        part / 12.92 if part <= 0.03928 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(ink: Rgb, paper: Rgb) -> float:
    """Contrast ratio, 1 to 21 (WCAG 2.1, definition of contrast ratio)."""
    high, low = sorted((luminance(ink), luminance(paper)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_the_contrast_is_that_of_the_standard():
    """Black on white is 21 to 1, and #777777 on white about 4.48 (WCAG 2.1, 1.4.3 and its understanding page)."""
    assert contrast((0, 0, 0), (255, 255, 255)) == pytest.approx(21.0)
    assert contrast((0x77, 0x77, 0x77), (255, 255, 255)) == pytest.approx(4.48, abs=0.01)


def drawn(hill: Session) -> dict[str, Style]:
    """Every style on the screen as the terminal gets it, with some text that has it."""
    styles: dict[Style, str] = {}
    for strip in hill.strips:
        for segment in strip:
            if segment.style and (segment.text.strip() or segment.style.reverse):
                styles.setdefault(segment.style, segment.text)
    return {f"{text.strip()[:20]} ({style})": style for style, text in styles.items()}


async def pages(hill: Session) -> AsyncIterator[tuple[str, dict[str, Style]]]:
    """The session screen with a reminder and with a line typed, then each page."""
    yield "session", drawn(hill)
    await hill.press("escape")
    await hill.type("kd7qsv 59 57 zz99")
    yield "typed", drawn(hill)
    await hill.press("escape")
    for key in OPENED_BY:
        await hill.press(key)
        await hill.settle()
        yield key, drawn(hill)
        await hill.press("escape")


def rgb(style: Style) -> tuple[Rgb, Rgb]:
    """Ink and paper as they are seen."""
    assert style.color, style
    assert style.bgcolor, style
    ink, paper = style.color.get_truecolor(), style.bgcolor.get_truecolor()
    return (paper, ink) if style.reverse else (ink, paper)


@pytest.mark.parametrize("theme", LEAST)
async def test_what_is_drawn_can_be_read(theme: str, tmp_path: Path):
    clock = play(tmp_path / "j.jsonl", outing())
    seen, least, weak = 0, 21.0, {}
    async with session(tmp_path / "j.jsonl", clock=clock, theme=theme) as hill:
        async for page, styles in pages(hill):
            for where, style in styles.items():
                ink, paper = rgb(style)
                if ink == paper:
                    continue
                seen += 1
                ratio = contrast(ink, paper)
                least = min(least, ratio)
                if ratio < LEAST[theme]:
                    weak[f"{page}: {where}"] = round(ratio, 2)
    assert seen > 20
    secondary = min(SECONDARY, LEAST[theme])
    assert {where: ratio for where, ratio in weak.items() if ratio < secondary} == {}
    print(theme, round(least, 2))


async def test_night_is_red_and_black_and_nothing_else(tmp_path: Path):
    """One white cell spoils eyes that took half an hour to get used to the dark."""
    clock = play(tmp_path / "j.jsonl", outing())
    async with session(tmp_path / "j.jsonl", clock=clock, theme=NIGHT) as hill:
        async for page, styles in pages(hill):
            for where, style in styles.items():
                for colour in (style.color, style.bgcolor):
                    assert colour is not None, (page, where)
                    _, green, blue = colour.get_truecolor()
                    assert (green, blue) == (0, 0), (page, where)


async def test_plain_asks_for_no_colour_anywhere(tmp_path: Path):
    """Bold, underlined, reversed are all it has; something is reversed, or the cursor would be lost."""
    clock = play(tmp_path / "j.jsonl", outing())
    reversed_somewhere = False
    async with session(tmp_path / "j.jsonl", clock=clock, theme=PLAIN) as hill:
        async for page, styles in pages(hill):
            for where, style in styles.items():
                reversed_somewhere |= bool(style.reverse)
                for colour in (style.color, style.bgcolor):
                    assert colour is None or colour.type is ColorType.DEFAULT, (page, where)
    assert reversed_somewhere


async def test_the_console_gets_its_own_sixteen_colours(tmp_path: Path):
    clock = play(tmp_path / "j.jsonl", outing())
    async with session(tmp_path / "j.jsonl", clock=clock, theme=CONSOLE) as hill:
        async for page, styles in pages(hill):
            for where, style in styles.items():
                for colour in (style.color, style.bgcolor):
                    assert colour is None or colour.type in (ColorType.DEFAULT, ColorType.STANDARD), (
                        page,
                        where,
                    )


async def test_changed_keys_work_and_stand_in_the_help(tmp_path: Path):
    """Every action can have another key, the pages too."""
    clock = play(tmp_path / "j.jsonl", outing())
    actions = [*ACTIONS, *(action for page in PAGES.values() for action in page)]
    keys = {action.name: f"alt+f{number}" for number, action in enumerate(actions, 1)}
    async with session(tmp_path / "j.jsonl", clock=clock, keys=keys) as hill:
        await hill.press(keys["help"])
        text = help_words(hill)
    for action in actions:
        assert re.search(
            rf"^ *{re.escape(shown_key(keys[action.name]))} .*{re.escape(action.what)}$", text, re.M
        )
