"""The page in a real browser, as a phone and as a wide screen, with a shunt on a pseudo-terminal."""

from __future__ import annotations

import random
import signal
from pathlib import Path

import pyte
import pytest

from fieldtui.demo.virtual_port import PtyPort
from fieldtui.journal.events import ContactLogged, Identified, TransmissionStarted
from tests.browser.opened import PHONE, WIDE, fits, opened
from tests.support.big_digits import shows
from tests.support.journals import of_kind
from tests.support.sender import Sender, frame
from tests.support.serving import Served, wait_until

PHRASE = "larkspur under the ridge"


def contacts(served: Served) -> list[str]:
    """What the journal has."""
    return [contact.call for contact in of_kind(served.journal, ContactLogged)]


def test_a_day_with_a_phone(chromium, tmp_path: Path):
    """Log, mark an over, give the call, see the volts move; all from this one server."""
    with PtyPort(tmp_path / "usb-shunt-if00-port0") as port, Served(tmp_path, "--shunt", port.url) as served:
        with opened(chromium, served.url, **PHONE) as phone, Sender(port, frame(12.85, -0.44)):
            phone.sees("on site")
            wait_until(lambda: shows(phone.rows, "12.85"))
            phone.page.locator("#field").type("kd7qsv 59 57 Rosq")
            phone.page.keyboard.press("Backspace")
            phone.page.keyboard.type("a, Larkspur Flat")
            phone.sees("Kilo Delta Seven Quebec Sierra Victor")
            phone.page.locator("#line button").tap()
            phone.sees("logged KD7QSV")
            assert phone.page.input_value("#field") == ""
            phone.page.locator("#key-over").tap()
            wait_until(lambda: of_kind(served.journal, TransmissionStarted))
            phone.page.locator("#key-identify").tap()
            wait_until(lambda: of_kind(served.journal, Identified))
            assert fits(phone.page)
        with opened(chromium, served.url, **WIDE) as wide, Sender(port, frame(12.31, -0.44)):
            wait_until(lambda: shows(wide.rows, "12.31"))
        for url in phone.asked:
            assert url.startswith((f"{served.url}/", f"ws://127.0.0.1:{served.port}/", "data:,")), url
        assert len(phone.asked) >= 6
    (contact,) = of_kind(served.journal, ContactLogged)
    assert (contact.call, contact.name, contact.place) == ("KD7QSV", "Rosa", "Larkspur Flat")


def test_the_keyboard_and_a_paste_of_a_wide_screen_go_through(chromium, tmp_path: Path):
    with Served(tmp_path) as served, opened(chromium, served.url, **WIDE) as wide:
        wide.sees("on site")
        wide.page.keyboard.type("kd7qsv 59 57 Rosx")
        wide.page.keyboard.press("Backspace")
        wide.page.keyboard.type("a")
        wide.page.keyboard.press("Enter")
        wide.sees("logged KD7QSV")
        wide.page.evaluate(
            """() => {
                const data = new DataTransfer();
                data.setData('text/plain', 'w0qsl 57 55 Ada');
                document.dispatchEvent(new ClipboardEvent('paste', { clipboardData: data }));
            }"""
        )
        wide.page.keyboard.press("Enter")
        wide.sees("logged W0QSL")
        wide.page.keyboard.press("F1")
        wide.sees("you gave your call on the air just now")
        assert [contact.name for contact in of_kind(served.journal, ContactLogged)] == ["Rosa", "Ada"]


def test_a_connection_that_is_lost_comes_back_by_itself(chromium, tmp_path: Path):
    """The server ends and begins again: the page says so, connects, and what was half typed is there."""
    with Served(tmp_path) as served, opened(chromium, served.url, **PHONE) as phone:
        phone.sees("on site")
        phone.page.locator("#field").type("kd7qsv 59 57 Rosa")
        phone.page.keyboard.press("Enter")
        phone.sees("logged KD7QSV")
        phone.page.locator("#field").type("w0qsl 57")
        port = served.port
        served.stop()
        phone.status("connection lost")
        with Served(tmp_path, port=port) as again:
            phone.status("connected")
            phone.sees("Whiskey Zero Quebec")
            assert any("KD7QSV" in row for row in phone.rows)
            phone.page.locator("#field").type(" 55 Ada")
            phone.page.keyboard.press("Enter")
            phone.sees("logged W0QSL")
            assert contacts(again) == ["KD7QSV", "W0QSL"]


@pytest.mark.slow
def test_a_link_that_falls_silent_counts_as_lost(chromium, tmp_path: Path):
    """Nothing tells a page that a network is gone, but the beat stops; later the same program is found again."""
    with Served(tmp_path) as served, opened(chromium, served.url, **PHONE) as phone:
        phone.sees("on site")
        phone.page.locator("#field").type("kd7qsv 59 57")
        phone.sees("Kilo Delta Seven")
        programs = served.sessions()
        served.process.send_signal(signal.SIGSTOP)
        try:
            phone.status("connection lost")
        finally:
            served.process.send_signal(signal.SIGCONT)
        phone.status("connected")
        phone.page.keyboard.press("Enter")
        phone.sees("logged KD7QSV")
        assert served.sessions() == programs
        phone.page.close()
        # Nobody comes back: the program is kept for a while, and then it ends.
        wait_until(lambda: not served.sessions())
        assert contacts(served) == ["KD7QSV"]


def test_a_page_that_only_looks_shows_everything_and_writes_nothing(chromium, tmp_path: Path):
    with Served(tmp_path) as served, opened(chromium, served.url, **WIDE) as hill:
        hill.sees("on site")
        with opened(chromium, f"{served.url}/view", **PHONE) as view:
            view.status("watching only")
            view.sees("on site")
            assert not view.page.locator("#line").is_visible()
            assert view.page.locator("#key-identify").count() == 0
            before = served.journal.read_bytes()
            view.page.keyboard.type("ve7qrz 59 57")
            view.page.keyboard.press("Enter")
            view.page.keyboard.press("F2")
            hill.page.keyboard.type("kd7qsv 59 57")
            hill.page.keyboard.press("Enter")
            view.sees("KD7QSV")
            assert contacts(served) == ["KD7QSV"]
            assert of_kind(served.journal, Identified) == []
            assert served.journal.read_bytes().startswith(before)


def test_the_door_asks_for_the_phrase(chromium, tmp_path: Path):
    with Served(tmp_path, FIELDTUI_PASSPHRASE=PHRASE) as served:
        with opened(chromium, served.url, **PHONE) as phone:
            phone.page.fill("#phrase", "some other phrase")
            phone.page.locator("button").tap()
            phone.page.get_by_text("that is not the passphrase").wait_for()
            assert served.sessions() == []
            phone.page.fill("#phrase", PHRASE)
            phone.page.locator("button").tap()
            phone.status("connected")
            phone.sees("on site")
            phone.page.get_by_text("sign out").tap()
            phone.page.locator("#phrase").wait_for()
        wait_until(lambda: not served.sessions())


SIZE = (40, 12)
WORDS = ("quiet", "KD7QSV", "─│╔═", "█▀▄", "12.85 V", " ", "Ñandú", "a" * 45)


def scribble(chance: random.Random) -> str:
    """A piece of what programs write; without moves just after the last column, on which emulators differ."""
    row, column, count = chance.randint(0, 14), chance.randint(0, 44), chance.randint(0, 6)
    return chance.choice(
        (
            chance.choice(WORDS) + chance.choice(("\r\n", f"\x1b[{row};{column}H")), f"\x1b[{row};{column}H", f"\x1b[{count}A", f"\x1b[{count}B", f"\x1b[{count}C",
            f"\x1b[{count}D", "\x1b[H", "\r\n", "\r", "\b", f"\x1b[{chance.choice((0, 1, 2))}K", "\x1b[1;38;2;9;8;7m",
            f"\x1b[{chance.choice((0, 1))}J", "\x1b[0m", f"\x1b[{count}X", f"\x1b[{column}G", f"\x1b[{row}d",
            "\x1b]0;a title\x07", "\x1b[?25l", "\x1b[48;5;17m", "\x07",
        )
    )  # fmt: skip


@pytest.mark.parametrize("seed", range(3))
def test_the_page_draws_what_another_terminal_emulator_draws(chromium, tmp_path: Path, seed):
    """Checked against pyte, which is nobody's of ours; the bytes come in pieces that cut characters and sequences."""
    chance = random.Random(seed)
    data = "".join(scribble(chance) for _ in range(400)).encode()
    cuts = sorted(chance.sample(range(len(data)), 60))
    pieces = [data[start:end] for start, end in zip([0, *cuts], [*cuts, len(data)], strict=True)]
    other = pyte.Screen(*SIZE)
    stream = pyte.ByteStream(other)
    with Served(tmp_path, "--most", "1") as served, opened(chromium, f"{served.url}/view") as page:
        page.page.evaluate(
            """async (size) => {
                const { Screen } = await import('/screen.js');
                const place = document.createElement('div');
                window.drawn = new Screen(place, () => {});
                window.drawn.resize(...size);
                window.drawn.reset();
            }""",
            SIZE,
        )
        for piece in pieces:
            stream.feed(piece)
            rows = page.page.evaluate(
                """(bytes) => {
                    window.drawn.write(new Uint8Array(bytes));
                    window.drawn.draw();
                    return [...window.drawn.place.children].map(row => row.textContent);
                }""",
                list(piece),
            )
            assert rows == other.display
