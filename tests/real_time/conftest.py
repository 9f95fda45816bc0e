"""Real minutes, many at once: each worker begins a little later than the one before."""

from __future__ import annotations

import os
import time

import pytest

APART_SECONDS = 1.0
"""Between two starts: a start is the only thing here that takes processor time."""


@pytest.fixture(scope="session", autouse=True)
def one_start_after_the_other() -> None:
    """Wait for this worker's turn."""
    worker = os.environ.get("PYTEST_XDIST_WORKER", "gw0").removeprefix("gw")
    time.sleep(int(worker) * APART_SECONDS)
