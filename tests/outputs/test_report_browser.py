"""The page in a real browser: seen, quiet, and inside its window."""

from __future__ import annotations

import io
from typing import Any

import pytest

from fieldtui.outputs.page.html import page
from fieldtui.outputs.report.many.sections import many_head, many_sections
from fieldtui.outputs.report.many.story import read_many
from fieldtui.outputs.report.story import read_story
from tests.outputs.reporting import DAMAGED, WHOLE, chromium, hostile_outing, page_of, story_of

PHONE, WIDE = {"width": 390, "height": 844}, {"width": 1280, "height": 900}


@pytest.fixture(scope="module")
def browser():
    playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
    path = chromium()
    with playwright.sync_playwright() as started:
        found = started.chromium.launch(executable_path=path, args=["--no-sandbox"])
        yield found
        found.close()


@pytest.fixture(scope="module")
def pages(tmp_path_factory):
    folder = tmp_path_factory.mktemp("pages")
    many = read_many([WHOLE, DAMAGED], demo=True)
    texts = {
        "whole": page_of(read_story(WHOLE)),
        "damaged": page_of(read_story(DAMAGED)),
        "hostile": page_of(story_of(hostile_outing().lines)),
        "all": page(many_head(many), many_sections(many)),
    }
    for name, text in texts.items():
        (folder / f"{name}.html").write_text(text, "utf-8")
    return folder


@pytest.mark.parametrize(
    ("name", "window", "scheme"),
    [
        ("whole", PHONE, "light"),
        ("whole", WIDE, "light"),
        ("whole", PHONE, "dark"),
        ("whole", WIDE, "dark"),
        ("damaged", PHONE, "dark"),
        ("hostile", PHONE, "light"),
        ("hostile", WIDE, "dark"),
        ("all", PHONE, "light"),
    ],
    ids=lambda value: str(value["width"]) if isinstance(value, dict) else value,
)
def test_the_page_is_seen_and_does_nothing_else(browser, pages, name, window, scheme):
    from PIL import Image

    context = browser.new_context(viewport=window, color_scheme=scheme)
    try:
        shown = context.new_page()
        asked, said = [], []
        shown.on("request", lambda request: asked.append(request.url))
        shown.on("console", lambda message: said.append(message.text))
        shown.on("pageerror", lambda error: said.append(str(error)))

        def dismiss(dialog: Any) -> None:
            said.append(dialog.message)
            dialog.dismiss()

        shown.on("dialog", dismiss)
        address = (pages / f"{name}.html").as_uri()
        shown.goto(address)
        picture = Image.open(io.BytesIO(shown.screenshot())).convert("RGB")
        wide = shown.evaluate("document.documentElement.scrollWidth")
        background = shown.evaluate("getComputedStyle(document.body).backgroundColor")
    finally:
        context.close()
    assert asked == [address]
    assert said == []
    assert wide <= window["width"]
    assert len(picture.getcolors(1 << 24) or ()) > 50
    bright = sum(map(int, background.removeprefix("rgb(").removesuffix(")").split(","))) > 3 * 128
    assert bright is (scheme == "light")


def test_no_script_of_a_hostile_journal_runs(browser, pages):
    context = browser.new_context()
    try:
        shown = context.new_page()
        shown.goto((pages / "hostile.html").as_uri())
        counts = shown.evaluate(
            "[document.scripts.length, document.images.length, document.title.length > 0]"
        )
        elements = shown.evaluate("[...document.querySelectorAll('b, i:not([aria-hidden]), img')].length")
    finally:
        context.close()
    assert counts == [0, 0, True]
    assert elements == 0


@pytest.mark.parametrize(
    ("window", "seen"), [(PHONE, "narrow-only"), (WIDE, "wide-only")], ids=["phone", "wide"]
)
def test_only_the_drawing_that_fits_the_window_is_there(browser, pages, window, seen):
    context = browser.new_context(viewport=window)
    try:
        shown = context.new_page()
        shown.goto((pages / "whole.html").as_uri())
        kinds = shown.evaluate(
            "[...document.querySelectorAll('#volts svg')].filter(s => s.checkVisibility()).map(s => s.classList[0])"
        )
    finally:
        context.close()
    assert kinds == [seen]


def test_paper_gets_every_page(browser, pages):
    pdfium = pytest.importorskip("pypdfium2", reason="no PDF reader is installed")
    context = browser.new_context(color_scheme="dark")
    try:
        shown = context.new_page()
        shown.goto((pages / "whole.html").as_uri())
        paper = pdfium.PdfDocument(shown.pdf(format="A4"))
    finally:
        context.close()
    try:
        text = " ".join(sheet.get_textpage().get_text_bounded() for sheet in paper)
        corner = paper[0].render(scale=0.5).to_pil().convert("RGB").getpixel((2, 2))
        assert 2 <= len(paper) <= 8
    finally:
        paper.close()
    assert corner == (255, 255, 255)
    for told in ("W7QRV at Larkspur Ridge", "WA7QTH", "mast guyed again", "How far to trust this"):
        assert told in text
