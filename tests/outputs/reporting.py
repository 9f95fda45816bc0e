"""Reports for tests: a story made from lines in memory, a page read as a strict reader would."""

from __future__ import annotations

import shutil
from collections.abc import Iterable
from html.parser import HTMLParser
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from fieldtui.journal.event_types import Event
from fieldtui.journal.events import (
    AlarmRaised,
    BatterySampled,
    CallHeard,
    ContactAmended,
    ContactLogged,
    NoteWritten,
    PackStated,
    PlaceSet,
)
from fieldtui.journal.line import Envelope
from fieldtui.outputs.page.html import page
from fieldtui.outputs.page.markup import VOID
from fieldtui.outputs.report.course import Course
from fieldtui.outputs.report.head import session_head
from fieldtui.outputs.report.sections import sections_of
from fieldtui.outputs.report.story import SessionStory
from tests.session.making_lines import CALL, Outing, ended, opened, started

SAMPLES = Path(__file__).parents[2] / "sample_sessions"
WHOLE = SAMPLES / "2026-06-14-1650-larkspur-ridge.jsonl"
DAMAGED = SAMPLES / "2026-06-21-1605-damaged.jsonl"

HOSTILE = (
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "</style></title><svg onload=alert(1)>",
    '=HYPERLINK("x")',
    "../../etc/passwd",
    "\x1b[31mred\x07\x00",
    "abc\u202egnp.exe\u2066",
    "&amp;&lt;b&gt;[bold]x[/bold]",
    "]]><!-- --><?php ?>",
    "\ufffe\U000e0001\u2028",
)


def story_of(lines: Iterable[Envelope], *, name: str = "hill.jsonl", miles: bool = False) -> SessionStory:
    """Fold lines as a report does."""
    course = Course()
    for envelope in lines:
        course.take(envelope)
    return SessionStory(course, [], name, miles, calls=True)


def page_of(story: SessionStory) -> str:
    """The whole page of a story."""
    return page(session_head(story), sections_of(story))


def tree_of(text: str) -> ET.Element:
    """The page as XML; fails if it is not well formed."""
    return ET.fromstring(text)


def words_of(text: str) -> str:
    """All text of the page, without its style."""
    root = tree_of(text)
    for parent in root.iter():
        for child in list(parent):
            if child.tag.endswith("}style"):
                parent.remove(child)
    return " ".join("".join(root.itertext()).split())


class Strict(HTMLParser):
    """Reads a page as HTML and remembers what opens without closing, and what could act."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.wrong: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag in ("script", "iframe", "object", "embed", "form", "base", "img", "use", "foreignobject"):
            self.wrong.append(tag)
        for name, value in attrs:
            acts = name.startswith("on") or name in ("src", "srcdoc", "xlink:href", "style", "action")
            if acts or (name == "href" and not (value or "").startswith("#")):
                self.wrong.append(f"{tag} {name}")
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        if tag not in VOID:
            self.wrong.append(f"{tag} has no end in HTML")

    def handle_endtag(self, tag: str) -> None:
        if not self.open or self.open.pop() != tag:
            self.wrong.append(f"/{tag}")


def assert_harmless(text: str) -> None:
    """Well formed as XML and as HTML, nothing in it acts, and nothing reorders or hides what is read."""
    tree_of(text)
    strict = Strict()
    strict.feed(text)
    strict.close()
    assert not strict.wrong
    assert not strict.open
    assert not set(text) & set("\x00\x07\x1b\u202a\u202b\u202d\u202e\u2066\u2067\u2068\u2069\u200f")


def hostile_outing() -> Outing:
    """Every text that can come from outside is an attack."""
    outing = Outing().add(opened(place=HOSTILE[0]), PackStated(chemistry="lifepo4", amp_hours=12.0))
    for number, text in enumerate(HOSTILE):
        outing.at(60.0 * number, CALL, started()).at(60.0 * number + 20, ended())
        outing.add(*_attacks(number, text))
    return outing


def _attacks(number: int, text: str) -> list[Event]:
    return [
        ContactLogged(
            id=f"c{number}", call=text, sent=text, received=text, name=text, place=text, locator=f"CN9{number % 10}hb",
            mode=text, remarks=text,
        ),
        ContactAmended(contact=f"c{number}", name=text * 2, call=text),
        CallHeard(id=f"h{number}", call=text, text=text),
        NoteWritten(text=text),
        PlaceSet(place=text),
        BatterySampled(feed=text, volts=13.0 - number / 10, amps=-1.0, covered_seconds=10.0, out_amp_seconds=10.0),
        AlarmRaised(alarm=text, severity="warning", words=text),
    ]  # fmt: skip


def long_outing(hours: int) -> Outing:
    """A session with a shunt that tells every ten seconds, an over a minute, a contact each five minutes."""
    outing = Outing().add(opened(place="Larkspur Ridge"), PackStated(chemistry="lifepo4", amp_hours=100.0))
    for step in range(hours * 360):
        at = step * 10.0
        sending = step % 6 == 3
        outing.at(at)
        if sending:
            outing.add(
                started(source="shunt", amps=-7.0, amps_before=-0.5, volts_before=13.2, volts_after=12.9)
            )
        volts = 12.9 if sending else 13.3 - step / (hours * 3600)
        outing.add(
            BatterySampled(
                feed="shunt", volts=volts, amps=-7.0 if sending else -0.5, covered_seconds=10.0,
                out_amp_seconds=70.0 if sending else 5.0, out_watt_seconds=900.0 if sending else 66.0,
            )
        )  # fmt: skip
        if sending:
            outing.at(
                at + 5,
                ended(source="shunt", amps=-0.5, amps_before=-7.0, volts_before=12.9, volts_after=13.2),
            )
        if step % 30 == 10:
            calls = ("KD7QSV", "W0QSL", "VE7QRZ", "K1QRN/P")
            number = step // 30
            outing.add(CALL)
            outing.add(
                ContactLogged(
                    id=f"c{number}", call=calls[number % 4] if number % 3 else f"W{number % 10}QS{chr(65 + number % 26)}",
                    sent="59", received="57", name="Rosa", place="Larkspur Flat", hertz=146_520_000, mode="FM",
                    watts=25.0, locator=f"CN{number % 10}{number // 10 % 10}hb",
                )
            )  # fmt: skip
    return outing


def chromium() -> str:
    """A browser of the system, or the test is skipped."""
    found = shutil.which("chromium") or shutil.which("chromium-browser")
    if found is None:
        pytest.skip("no chromium on this machine: the page is not opened in a browser")
    return found
