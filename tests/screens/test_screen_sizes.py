"""Any size, any theme, any font: the screen never breaks, and the two numbers are the last to go."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest

from fieldtui.journal.events import ContactLogged
from fieldtui.screens.draw.glyphs import SETS, UNICODE, Glyphs
from fieldtui.screens.theme_names import CONSOLE, NAMES, theme_for
from fieldtui.screens.themes import THEMES
from tests.screens.scenes import outing, play
from tests.support.big_digits import shows
from tests.support.journals import of_kind
from tests.support.session import session

LEFT, VOLTS = "9:19", "13.08"
"""What the outing's last moment shows."""

WALK = (
    (120, 40), (20, 5), (60, 20), (40, 10), (1, 1), (80, 24), (300, 100), (2, 60), (200, 3), (39, 9), (76, 23),
    (110, 34), (109, 33), (60, 12), (60, 11), (45, 17), (80, 1), (1, 24), (132, 43), (60, 20),
)  # fmt: skip


SMALL_TO_LARGE = (
    (40, 10), (40, 12), (45, 20), (59, 19), (60, 10), (60, 20), (80, 11), (80, 24), (109, 50), (110, 34), (120, 40),
)  # fmt: skip


async def test_a_walk_through_sizes_breaks_nothing(tmp_path: Path):
    """Bigger, smaller, absurd: after each step the screen is filled, and at the end a contact can be logged."""
    clock = play(tmp_path / "j.jsonl", outing())
    async with session(tmp_path / "j.jsonl", clock=clock) as hill:
        for columns, rows in WALK:
            await hill.pilot.resize_terminal(columns, rows)
            await hill.settle()
            await hill.let_pass(0)
            lines = hill.lines
            assert len(lines) == rows
            assert {len(line) for line in lines} == {columns}
        await hill.enter("kd7qsv 59 57 Rosa")
        assert of_kind(hill.journal, ContactLogged)[-1].name == "Rosa"


@pytest.mark.parametrize("glyphs", [UNICODE, SETS["ascii"]], ids=lambda glyphs: glyphs.name)
async def test_the_two_numbers_are_whole_from_40_by_10_up(glyphs: Glyphs, tmp_path: Path):
    """Minutes and seconds to the call, and volts, each with its word; the entry line too."""
    clock = play(tmp_path / "j.jsonl", outing())
    async with session(tmp_path / "j.jsonl", clock=clock, glyphs=glyphs) as hill:
        await hill.press("escape")
        await hill.type("ve3qrx")
        for columns, rows in SMALL_TO_LARGE:
            await hill.pilot.resize_terminal(columns, rows)
            await hill.settle()
            await hill.let_pass(0)
            assert shows(hill.lines, LEFT, glyphs), f"{columns}x{rows}\n{hill.text}"
            assert shows(hill.lines, VOLTS, glyphs), f"{columns}x{rows}\n{hill.text}"
            assert "resting" in hill.text, f"{columns}x{rows}\n{hill.text}"
            assert "> ve3qrx" in hill.text


async def test_every_pane_fits_its_new_size_at_once(tmp_path: Path):
    """What a resize brings is drawn for that size, without waiting for the next second or the next contact."""
    clock = play(tmp_path / "j.jsonl", outing())
    async with (
        session(tmp_path / "j.jsonl", clock=clock, size=(120, 40)) as hill,
        session(tmp_path / "j.jsonl", clock=clock, size=(60, 20)) as small,
    ):
        await hill.until(lambda: hill.app.state.lines == small.app.state.lines)
        for here in (hill, small):
            await here.press("escape")
        await hill.pilot.resize_terminal(60, 20)
        await hill.settle()
        assert hill.lines == small.lines
        await small.pilot.resize_terminal(120, 40)
        await hill.pilot.resize_terminal(120, 40)
        await hill.settle()
        await small.settle()
        assert hill.lines == small.lines


async def test_nothing_moves_while_typing(tmp_path: Path):
    """Rows above the entry line are the same for every line that can be half typed."""
    clock = play(tmp_path / "j.jsonl", outing())
    async with session(tmp_path / "j.jsonl", clock=clock) as hill:
        await hill.press("escape")
        above = hill.lines[:-5]
        for line in (
            "k",
            "kd7qsv 59 57 cn94hb Rosa, Larkspur Flat, card",
            "hello",
            "note " + "long " * 60,
            "fix 99 name x",
        ):
            hill.app.panes.entry.put(line)
            await hill.settle()
            assert hill.lines[:-5] == above, line


@pytest.mark.parametrize("theme", [*NAMES, CONSOLE, "ansi-light"])
async def test_each_theme_mounts_and_draws_the_same_words(theme: str, tmp_path: Path):
    """Colours change, words do not."""
    clock = play(tmp_path / "j.jsonl", outing())
    async with session(tmp_path / "j.jsonl", clock=clock, theme=theme) as hill:
        await hill.press("escape")
        assert "give your call W7QRV" in hill.text
        assert shows(hill.lines, VOLTS)
        await hill.press("f1")
        assert "HELP" in hill.text
        await hill.press("x")


def test_themes_by_terminal():
    """The Linux console has sixteen colours of its own, unless something was asked for."""
    assert theme_for("linux", None) == CONSOLE
    assert theme_for("xterm-256color", None) == "dusk"
    assert theme_for("linux", "night") == "night"
    assert set(NAMES) == set(THEMES)


@pytest.mark.parametrize(("glyphs", "encoding"), [("cp437", "cp437"), ("ascii", "ascii")])
async def test_every_drawn_character_is_in_the_font(glyphs: str, encoding: str, tmp_path: Path):
    """Every pane, question, plan and help, small and large, in every state; a name with other letters included."""
    clock = play(tmp_path / "j.jsonl", [*outing(), (1.0, foreign())])
    async with session(tmp_path / "j.jsonl", clock=clock, glyphs=SETS[glyphs]) as hill:

        async def check() -> None:
            await hill.settle()
            strange = {
                character for line in hill.lines for character in line if not _has(character, encoding)
            }
            assert strange == set(), hill.text

        for size in ((60, 20), (120, 40)):
            await hill.pilot.resize_terminal(*size)
            await check()
            for keys in (
                ["escape"],
                ["f4"],
                ["escape", "f9"],
                ["n", "backspace"],
                ["f5"],
                ["x"],
                ["f1"],
                ["pagedown"],
                ["x"],
            ):
                await hill.press(*keys)
                await check()
            hill.app.panes.entry.put("kd7qsv 99 " + "x" * 300)
            await check()
            hill.app.panes.entry.put("")
        await hill.let_pass(700)
        await check()


def foreign() -> ContactLogged:
    """Letters that neither set has, a wide one among them."""
    return ContactLogged(id="f", call="K7QSX", name="Łukasz 田", place="Ħal Qormi", remarks="naïve")


def _has(character: str, encoding: str) -> bool:
    try:
        character.encode(encoding)
    except UnicodeEncodeError:
        return False
    return True


@pytest.mark.parametrize("name", sorted(SETS))
def test_a_glyph_set_draws_text_in_as_many_cells(name: str):
    """Columns stay where they are, whatever is replaced."""
    from rich.cells import cell_len

    text = "Łukasz 田 naïve █"
    assert cell_len(SETS[name].drawn(text)) == cell_len(text)
    assert SETS["unicode"].drawn(text) == text
    assert SETS["cp437"].drawn(text) == "?ukasz ?? naïve █"
    assert SETS["ascii"].drawn(text) == "?ukasz ?? na?ve ?"


def test_the_walk_changes_every_class_of_size():
    """The walk above really goes from each breakpoint to another."""
    assert all(before != after for before, after in pairwise(WALK))
