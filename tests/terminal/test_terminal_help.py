"""Ways out, long pages, arrows and settings, at 60x20 in a real terminal."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from fieldtui.journal.events import Tuned
from tests.support.journals import of_kind
from tests.support.terminal import Terminal, fieldtui

RIGHT, END = "\x1b[C", "\x1b[F"
MINE = "# mine\n[operator]\ncall = 'W7QRV' # me\n[place]\nlocator = 'CN94fl'\n"


@pytest.fixture
def station(tmp_path: Path) -> Path:
    path = tmp_path / "station.toml"
    path.write_text(MINE)
    return path


@pytest.fixture
def hill(tmp_path: Path, station: Path) -> Iterator[Terminal]:
    with started(tmp_path, station) as terminal:
        yield terminal


def started(tmp_path: Path, station: Path) -> Terminal:
    terminal = Terminal(
        fieldtui("session", "--journal", tmp_path / "j.jsonl", "--station", station),
        columns=60, rows=20, environment={"COLORTERM": "truecolor"},
    )  # fmt: skip
    terminal.wait_for("F10 leave")
    # Before the journal is read there is nothing to ask about.
    terminal.wait_for("on site")
    return terminal


def marked(hill: Terminal) -> str:
    return next((line for line in hill.text.splitlines() if line.startswith("*")), "")


def test_arrows_choose_a_channel_and_the_chosen_one_is_seen(hill: Terminal, tmp_path: Path):
    hill.send("146.52 fm\r")
    hill.wait_for("tuned: ")
    hill.press("f4")
    hill.wait_for("Enter tunes the * row")
    hill.send("call")
    hill.wait_for(lambda: "146.520" in marked(hill))
    hill.press("down", "down", "pagedown", "up")
    hill.wait_for(lambda: marked(hill) and "146.520" not in marked(hill))
    hill.press(*["pagedown"] * 5)
    hill.wait_for(lambda: "432.100" in marked(hill))
    hill.press("enter")
    hill.wait_for(lambda: len(of_kind(tmp_path / "j.jsonl", Tuned)) == 2)
    assert of_kind(tmp_path / "j.jsonl", Tuned)[-1].hertz == 432_100_000


def test_the_interrupt_key_ends_nothing_and_says_what_does(hill: Terminal):
    hill.send("kd7qsv 59\x03")
    hill.wait_for("or Ctrl+Q leaves")
    assert hill.process.poll() is None
    hill.send(" 57 Rosa\r")
    hill.wait_logged("KD7QSV")


@pytest.mark.parametrize("way", ["quit\r", "exit\r", "\x11"], ids=["quit", "exit", "its second key"])
def test_the_screen_is_left_without_a_function_key(hill: Terminal, way: str):
    hill.send(way)
    hill.wait_for("y leaves")
    hill.send("y")
    assert hill.wait_end() == 0
    assert hill.restored


def test_the_help_is_read_to_its_end_by_arrows_and_closed_by_a_letter(hill: Terminal):
    hill.send("?\r")
    hill.wait_for("PgDn more")
    hill.press("down", "down", "pagedown")
    hill.wait_for("21-39 of")
    hill.send(END)
    hill.wait_for("where your station file allows it")
    hill.wait_for(lambda: "more" not in hill.text.splitlines()[-1])
    hill.send("kd7qsv 59 57 Rosa\r")
    hill.wait_logged("KD7QSV")


def test_a_setting_is_changed_kept_and_there_at_the_next_start(tmp_path: Path, station: Path):
    with started(tmp_path, station) as hill:
        hill.send("settings\r")
        hill.wait_for("SETTINGS")
        hill.press("down")
        hill.send(RIGHT)
        hill.wait_for("units is mi, kept in station.toml")
        hill.press("up")
        hill.send(RIGHT)
        hill.wait_for("theme is night, kept")
        hill.press("escape")
        hill.wait_for("F10 leave")
        hill.send("w0qsl 59 57 cn94 Ada\r")
        hill.wait_logged("W0QSL")
        hill.wait_for(" mi ")
    assert station.read_text() == MINE + '\n[screen]\nunits = "mi"\ntheme = "night"\n'
    with started(tmp_path, station) as hill:
        hill.wait_for(" mi ")
        hill.press("f5")
        hill.wait_for("BATTERY")
        asked = colours(bytes(hill.output))
        assert asked
        assert all(each[1] == 2 and each[3:] == (0, 0) for each in asked), asked


def test_without_colour_is_without_colour_from_then_on(hill: Terminal):
    """And another theme brings colours back."""
    hill.send("settings\r")
    hill.wait_for("SETTINGS")
    for theme in ("night", "plain"):
        hill.send(RIGHT)
        hill.wait_for(f"theme is {theme}")
    hill.press("escape")
    hill.wait_for("F10 leave")
    before = len(hill.output)
    hill.press("f1")
    hill.wait_for("HELP")
    assert colours(bytes(hill.output[before:])) == set()
    hill.press("escape")
    hill.wait_for("F10 leave")
    hill.send("settings\r")
    hill.wait_for("SETTINGS")
    hill.send(RIGHT)
    hill.wait_for("theme is sun")
    assert colours(bytes(hill.output[before:])) != set()


def colours(output: bytes) -> set[tuple[int, ...]]:
    """Every colour of ink or paper that was asked for, as the numbers of its sequence."""
    asked = set()
    for found in re.finditer(rb"\x1b\[([0-9;]+)m", output):
        numbers = [int(part or 0) for part in found[1].split(b";")]
        while numbers:
            length = {2: 5, 5: 3}[numbers[1]] if numbers[0] in (38, 48) else 1
            colour, numbers = tuple(numbers[:length]), numbers[length:]
            if length > 1 or 30 <= colour[0] <= 37 or 40 <= colour[0] <= 47 or colour[0] >= 90:
                asked.add(colour)
    return asked
