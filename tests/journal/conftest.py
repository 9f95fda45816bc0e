"""A folder in memory, where a sync costs nothing, for the tests that make hundreds of journals."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest


@pytest.fixture
def fast_path(tmp_path: Path) -> Iterator[Path]:
    """A folder on a memory disk where there is one, an ordinary one elsewhere."""
    memory = Path("/dev/shm")
    if not (memory.is_dir() and os.access(memory, os.W_OK)):
        yield tmp_path
        return
    with tempfile.TemporaryDirectory(dir=memory) as folder:
        yield Path(folder)
