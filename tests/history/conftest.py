"""A folder of journals, and an index of it that is not there yet."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from fieldtui.history import History


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """An empty folder of journals."""
    folder = tmp_path / "journals"
    folder.mkdir()
    return folder


@pytest.fixture
def index(tmp_path: Path) -> Path:
    """Where the index goes; even its folder is not there yet."""
    return tmp_path / "cache" / "history.sqlite"


@pytest.fixture
def history(index: Path, folder: Path) -> Iterator[History]:
    """The history of the folder, not refreshed."""
    with History(index, folder) as history:
        yield history
