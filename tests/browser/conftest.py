"""A real browser, where the machine has one."""

from __future__ import annotations

import shutil
from collections.abc import Iterator

import pytest

NAMES = ("chromium", "chromium-browser", "google-chrome")


@pytest.fixture(scope="module")
def chromium() -> Iterator[object]:
    """Headless; one for all tests of a file."""
    path = next(filter(None, map(shutil.which, NAMES)), None)
    if path is None:
        pytest.skip("no Chromium on this machine")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        # Without its sandbox it also runs as root in a container; it sees only pages of ours.
        browser = playwright.chromium.launch(executable_path=path, args=["--no-sandbox"])
        yield browser
        browser.close()
