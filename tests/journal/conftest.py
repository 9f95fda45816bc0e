"""Places for journals, and keepers that end with their test."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from fieldtui.journal import keeper as keeper_module
from fieldtui.journal.disk import Disk
from tests.journal.faults import FaultyDisk
from tests.journal.keeping import Screen, Start


@pytest.fixture
def fast_path(tmp_path: Path) -> Iterator[Path]:
    """A folder on a memory disk where there is one, an ordinary one elsewhere."""
    memory = Path("/dev/shm")
    if not (memory.is_dir() and os.access(memory, os.W_OK)):
        yield tmp_path
        return
    with tempfile.TemporaryDirectory(dir=memory) as folder:
        yield Path(folder)


@pytest.fixture(name="path")
def _path(tmp_path: Path) -> Path:
    return tmp_path / "2026-06-14-1703-larkspur-ridge.jsonl"


@pytest.fixture(name="kept_path")
def _kept_path(tmp_path: Path) -> Path:
    """The journal of `start`, in a folder that is not there yet."""
    return tmp_path / "journals" / "hill.jsonl"


@pytest.fixture(name="start")
def _start(kept_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Start]:
    """Keepers that run, with waits turned into moments: what is tested is the order of things, not their speed."""
    for name, seconds in (("POLL", 0.005), ("RETRY", 0.005), ("TELEMETRY", 0.02), ("SYNC", 0.05)):
        monkeypatch.setattr(keeper_module, f"{name}_SECONDS", seconds)
    screens: list[Screen] = []
    disks: list[FaultyDisk] = []

    def start(disk: Disk | None = None, *, run: bool = True) -> Screen:
        screens.append(Screen(kept_path, disk))
        if isinstance(disk, FaultyDisk):
            disks.append(disk)
        if run:
            screens[-1].keeper.start()
        return screens[-1]

    yield start
    for disk in disks:
        disk.heal()
    for screen in screens:
        screen.keeper.stop()
