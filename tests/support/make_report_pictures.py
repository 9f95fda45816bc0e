"""Makes the pictures of the report in docs/pictures: `python -m tests.support.make_report_pictures`.

They are of the sample sessions, in the Chromium of the system, reduced to few colours so that they stay small.
"""

from __future__ import annotations

import io
import shutil
import tempfile
from pathlib import Path
from typing import Literal

from PIL import Image
from playwright.sync_api import Browser, sync_playwright

from fieldtui.outputs.page.html import page
from fieldtui.outputs.report.head import session_head
from fieldtui.outputs.report.sections import sections_of
from fieldtui.outputs.report.story import read_story

ROOT = Path(__file__).parents[2]
WHOLE = ROOT / "sample_sessions/2026-06-14-1650-larkspur-ridge.jsonl"
MOST_BYTES = 200_000
COLOURS = 128


def main() -> None:
    """Each picture again."""
    browser_path = shutil.which("chromium") or shutil.which("chromium-browser")
    if browser_path is None:
        raise SystemExit("no chromium on this machine: the pictures stay as they are")
    story = read_story(WHOLE)
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        address = Path(folder) / "page.html"
        address.write_text(page(session_head(story), sections_of(story)), "utf-8")
        browser = playwright.chromium.launch(executable_path=browser_path, args=["--no-sandbox"])
        _save("report-wide", _wide(browser, address))
        _save("report-phone", _phones(browser, address))
        browser.close()


def _wide(browser: Browser, address: Path) -> Image.Image:
    return _shot(browser, address, (1280, 1290), "light")


def _phones(browser: Browser, address: Path) -> Image.Image:
    """Two heights of the page side by side: the top, and the battery."""
    top = _shot(browser, address, (390, 844), "dark")
    battery = _shot(browser, address, (390, 844), "dark", scroll_to="#volts")
    both = Image.new("RGB", (top.width + battery.width + 24, top.height), (127, 127, 127))
    both.paste(top, (0, 0))
    both.paste(battery, (top.width + 24, 0))
    return both


def _shot(
    browser: Browser,
    address: Path,
    size: tuple[int, int],
    scheme: Literal["light", "dark"],
    scroll_to: str | None = None,
) -> Image.Image:
    context = browser.new_context(viewport={"width": size[0], "height": size[1]}, color_scheme=scheme)
    shown = context.new_page()
    shown.goto(address.as_uri())
    if scroll_to:
        shown.evaluate("name => document.querySelector(name).scrollIntoView()", scroll_to)
    picture = Image.open(io.BytesIO(shown.screenshot())).convert("RGB")
    context.close()
    return picture


def _save(name: str, picture: Image.Image) -> None:
    path = ROOT / f"docs/pictures/{name}.png"
    picture.quantize(COLOURS).save(path, optimize=True)
    size = path.stat().st_size
    print(f"{path.name}: {size // 1000} kB")
    if size > MOST_BYTES:
        raise SystemExit(f"{path.name} is larger than {MOST_BYTES // 1000} kB")


if __name__ == "__main__":
    main()
