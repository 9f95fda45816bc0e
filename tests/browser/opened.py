"""A page in a real browser, as a phone or a wide screen has it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

PHONE = {
    "viewport": {"width": 390, "height": 844},
    "has_touch": True,
    "is_mobile": True,
    "device_scale_factor": 2,
}
WIDE = {"viewport": {"width": 1280, "height": 800}, "color_scheme": "dark"}
PATIENCE_MS = 40_000


class Opened:
    """A page, and everything that it asked for."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.asked: list[str] = []
        self.errors: list[str] = []
        page.set_default_timeout(PATIENCE_MS)
        page.on("request", lambda request: self.asked.append(request.url))
        page.on("websocket", lambda socket: self.asked.append(socket.url))
        page.on("pageerror", lambda error: self.errors.append(str(error)))

    @property
    def rows(self) -> list[str]:
        """The screen as it is seen."""
        script = "[...document.querySelectorAll('#screen > div')].map(row => row.textContent).join('\\n')"
        text: str = self.page.evaluate(script)
        return text.splitlines()

    def sees(self, words: str) -> None:
        """Wait for words on the screen."""
        self.page.wait_for_function(
            "words => document.getElementById('screen').textContent.includes(words)", arg=words
        )

    def status(self, words: str) -> None:
        """Wait for the page's own word."""
        self.page.wait_for_function(
            "words => document.getElementById('status').textContent.includes(words)", arg=words
        )


@contextmanager
def opened(browser: Browser, url: str, **look: Any) -> Iterator[Opened]:
    """A page in a browser profile of its own."""
    context = browser.new_context(**look)
    try:
        page = Opened(context.new_page())
        page.page.goto(url)
        yield page
        assert page.errors == []
    finally:
        context.close()


def fits(page: Page) -> bool:
    """Nothing sticks out of the phone's screen, letters can be read, and keys can be hit with a thumb."""
    told = page.evaluate(
        """() => ({
            sideways: document.documentElement.scrollWidth <= innerWidth && document.documentElement.scrollHeight <= innerHeight,
            letters: parseFloat(getComputedStyle(document.getElementById('screen')).fontSize),
            columns: document.querySelector('#screen > div').textContent.length,
            widest: Math.max(...[...document.querySelectorAll('#screen > div')].map(row => row.scrollWidth - row.clientWidth)),
            lowest: Math.min(...[...document.querySelectorAll('#buttons button')].map(key => key.offsetHeight)),
        })"""
    )
    assert told["sideways"], told
    assert told["letters"] >= 11, told
    assert told["columns"] >= 53, told
    assert told["widest"] <= 1, told
    assert told["lowest"] >= 44, told
    return True
