"""Keys that come in one piece, as over a slow link, while a page is shown."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.support.terminal import Terminal, fieldtui

F1, F5 = "\x1bOP", "\x1b[15~"


@pytest.fixture
def hill(tmp_path: Path):
    with Terminal(fieldtui("session", "--journal", tmp_path / "j.jsonl")) as terminal:
        terminal.wait_for("F1 help")
        yield terminal


@pytest.mark.parametrize("page", [F1, F5], ids=["help", "battery"])
@pytest.mark.parametrize(
    "shut", ["", "\x1b[B\x1b[B", F5, "  "], ids=["letters", "arrows", "its key", "blanks"]
)
def test_what_is_typed_on_a_page_goes_to_the_entry_line(hill, page, shut):
    hill.send(f"{page}{shut}kd7qsv 59 57 Rosa\r")
    hill.wait_logged("KD7QSV")
    hill.wait_for("  1  ")


def test_no_to_a_question_is_not_typed(hill):
    hill.press("f10")
    hill.wait_for("y leaves")
    hill.send("nkd7qsv 59 57 Rosa\r")
    hill.wait_logged("KD7QSV")
