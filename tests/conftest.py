"""What holds for every test."""

from __future__ import annotations

import os
import signal
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

# A landing must not hang on luck: continuous integration tries the same examples every time, and whoever works
# on a parser lets chance look further. A loaded machine is slow, which is no fault of the code under test.
settings.register_profile("ci", derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile("work", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("ci" if os.environ.get("CI") else "work")

# A shell that starts the tests in the background has them ignore Ctrl+C, and every program that they start would too.
if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
    signal.signal(signal.SIGINT, signal.default_int_handler)

HERE = Path(__file__).parent
MARKED = {
    HERE / "terminal": "terminal",
    HERE / "browser": "browser",
    HERE / "outputs" / "test_report_browser.py": "browser",
}
"""Folders and files whose tests begin whole programs: dear, and seldom touched by one edit."""


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark tests by where they stand, so that none is forgotten."""
    for item in items:
        for place in (item.path, *item.path.parents):
            if place in MARKED:
                item.add_marker(MARKED[place])
