"""Where a command writes a file: nothing that is dear is lost, and what cannot be is one line."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from tests.support.tiles import write_striped_tile

RIDGE = "2026-06-14-1650-larkspur-ridge.jsonl"
WRITERS = {
    "export": ("export", "hill.jsonl", "--to", "csv", "--replace", "-o"),
    "report": ("report", "hill.jsonl", "-o"),
    "plan": ("plan", "CN94hb", "--on", "2026-06-14", "-o"),
    "cards": ("cards", "print", "--folder", ".", "--demo", "-o"),
    "path": ("calc", "path", "44.5,-121.8", "44.5,-121.7", "--terrain", ".", "--svg"),
    "reach": (
        "calc", "reach", "44.5,-121.5", "--terrain", ".", "--range-km", "5", "--bearings", "4", "--distances", "4", "--svg",
    ),
}  # fmt: skip
LONG = "x" * 300


@pytest.fixture
def here(samples: Path, tmp_path: Path) -> Path:
    """A folder with a journal, the same under a name that does not tell, a folder, and a tile."""
    shutil.copy(samples / RIDGE, tmp_path / "hill.jsonl")
    shutil.copy(samples / RIDGE, tmp_path / "picture.html")
    (tmp_path / "folder").mkdir()
    (tmp_path / "station.toml").write_text("[operator]\n")
    write_striped_tile(tmp_path, "N44W122", lambda lon: 300)
    return tmp_path


@pytest.mark.parametrize("writer", WRITERS)
def test_what_must_not_be_replaced_is_not(call, here: Path, writer: str) -> None:
    """A journal under any name, a folder, a device (which the superuser could replace by a page), another's file.

    `export` replaces others' files with `--replace`, which says so.
    """
    before = {path.name: path.stat().st_size for path in here.iterdir() if path.is_file()}
    for target, told in (
        ("hill.jsonl", "is a journal, which is never overwritten"),
        ("picture.html", "is a journal, which is never overwritten"),
        ("folder", "is a folder"),
        ("/dev/null", "is not a file"),
        ("nowhere/page.html", "nowhere is not a folder"),
        (LONG, "that file name is too long"),
        *([("station.toml", "is there, and not a")] if writer != "export" else []),
    ):
        refused = call(*WRITERS[writer], target)
        assert (refused.code, target) == (2, target)
        assert told in refused.complaint
    assert {path.name: path.stat().st_size for path in here.iterdir() if path.is_file()} == before


@pytest.mark.parametrize(
    "words",
    [
        ("show", LONG), ("verify", LONG), ("report", LONG), ("export", LONG, "--to", "csv"), ("import", LONG),
        ("calc", "strength", LONG), ("report", "--all", "--folder", LONG), ("past", "KD7QSV", "--folder", LONG),
        ("cards", "list", "--folder", LONG), ("calc", "path", "CN94", "CN85", "--terrain", LONG),
    ],
    ids=lambda words: " ".join(words).replace(LONG, "LONG"),
)  # fmt: skip
def test_a_name_that_is_too_long_is_one_line(call, words: tuple[str, ...]) -> None:
    refused = call(*words)
    assert refused.code == 2
    assert "that file name is too long" in refused.complaint


def test_a_folder_is_no_journal_and_is_called_a_folder(call, tmp_path: Path) -> None:
    (tmp_path / "old.jsonl").mkdir()
    for words in (("show",), ("report",), ("export", "--to", "csv"), ("verify",), ("import",)):
        assert "old.jsonl is a folder" in call(*words, "old.jsonl").complaint
