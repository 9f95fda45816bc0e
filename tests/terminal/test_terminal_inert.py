"""Outside text is inert: in the raw bytes of real terminals it brings no escape sequence that harmless text lacks.

Each program runs twice, once on harmless material and once on hostile material of the same form. Numbers in a
sequence are left out, so that kinds are compared: places of the cursor and colours may differ, kinds may not.
"""

from __future__ import annotations

import json
import re
import threading
from collections.abc import Callable
from pathlib import Path

import pytest

from fieldtui.demo.virtual_port import PtyPort
from fieldtui.journal.card_events import CardPromised
from fieldtui.journal.events import CallHeard, ContactLogged, NoteWritten, SessionOpened
from tests.packets.making import kiss
from tests.support.hand_clock import HandClock
from tests.support.journals import write_journal
from tests.support.terminal import Terminal, fieldtui

HARMLESS = "a lamp on the ridge"
ACTING = "\x1b]52;c;aGk=\x07\x1b]8;;http://x/\x1b\\\x1b]0;owned\x07\x1b[2J\x1bc\x1bP1$r\x1b\\\x9b31m\x9d0;x\x9c\x07\x08\x0e\u202eevil\u2066"
SEQUENCE = re.compile(
    rb"\x1b(?:\][0-9]*|[P^_X]|\[[\x30-\x3f]*[\x20-\x2f]*[\x40-\x7e]|[\x20-\x2f]*[\x30-\x7e])|[\x00-\x09\x0b\x0c\x0e-\x1a\x1c-\x1f\x7f]"
)
"""One control sequence, the beginning of a string for the terminal, or a lone control (ECMA-48, fifth edition)."""

SIGNATURES = [
    b"\x1b]8",
    b"\x1b]52",
    b"\x1b]0;owned",
    b"\xc2\x9b",
    b"\xc2\x9d",
    "\u202e".encode(),
    "\u2066".encode(),
]


def kinds(output: bytes) -> set[bytes]:
    """The kinds of sequences in these bytes, without their numbers."""
    return {re.sub(rb"[0-9;:]+", b"#", found) for found in SEQUENCE.findall(output)}


def check_inert(output: bytes, harmless: bytes) -> None:
    """No kind of sequence that the harmless run lacks, and none of what was planted."""
    assert kinds(output) - kinds(harmless) == set()
    assert [sign for sign in SIGNATURES if sign in output] == []


def written(path: Path, text: str) -> Path:
    """A journal as another program may have written it: every text is this one."""
    clock = HandClock()
    steps = [
        SessionOpened(program=text, station_call=text, place=text, locator=text, rule=text),
        ContactLogged(
            id="c1", call="W0QSL", sent=text, received=text, name=text, place=text, locator=text, mode=text,
            remarks=text,
        ),
        CardPromised(contact="c1"),
        ContactLogged(id=text, call=text, name=text),
        CallHeard(id="h1", call=text, text=text),
        NoteWritten(text=text),
    ]  # fmt: skip
    write_journal(path, clock, [(1.0, event) for event in steps], clock.move)
    return path


def plan(path: Path, text: str) -> Path:
    """A frequency plan and a station file that names it, with this text in names and notes."""
    # A text of JSON is one of TOML as long as no character needs two escapes.
    escaped, name = json.dumps(text)[1:-1], json.dumps(text[:20])[1:-1]
    (path / "plan.toml").write_text(
        f'[[channel]]\nname = "{name}"\nreceive = "146.520"\nmode = "FM"\nnotes = "{escaped}"\n', "utf-8"
    )
    station = path / "station.toml"
    station.write_text(
        f'[operator]\ncall = "W7QRV"\n[place]\nname = "{escaped}"\n[screen]\nchannels = "plan.toml"\n',
        "utf-8",
    )
    return station


def screen(folder: Path, text: str) -> bytes:
    """The session screen with all of it: journal, plan, packets, and the text pasted into the entry line."""
    journal = written(folder / "j.jsonl", text)
    station = plan(folder, text)
    packets = [kiss("W0QSL-7", b">" + text.encode()), kiss("W0QSM-7", b":W7QRV    :" + text.encode())]
    with (
        PtyPort(folder / "modem") as modem,
        Terminal(
            fieldtui("session", "--journal", journal, "--station", station, "--packet", modem.url),
            columns=120, rows=40,
        ) as hill,
    ):  # fmt: skip
        hill.wait_for("F12 packets")
        hill.wait_for("W0QSL")
        heard = threading.Event()
        sender = threading.Thread(
            target=lambda: [modem.write(b"".join(packets)) for _ in iter(lambda: heard.wait(0.2), True)]
        )
        sender.start()
        try:
            hill.press("f12")
            hill.wait_for("W0QSM")
        finally:
            heard.set()
            sender.join()
        hill.press("escape")
        hill.wait_for("┌─ channels")
        hill.wait_for("146.520 FM")
        hill.press("f4")
        hill.wait_for("> channel")
        hill.press("escape")
        hill.wait_for(lambda: "> channel" not in hill.text)
        # As a terminal pastes it (bracketed paste), less what would end the paste.
        hill.send("\x1b[200~note " + text.replace("\x1b", "") + "\x1b[201~")
        hill.wait_for("> note")
        hill.send("\r")
        hill.wait_for(lambda: "> note" not in hill.text)
        hill.press("f10")
        hill.wait_for("y leaves")
        hill.send("y")
        assert hill.wait_end() == 0
        hill.drain()
        return bytes(hill.output)


def test_the_session_screen(tmp_path: Path):
    """Nothing that came from a journal, a file, the air or a paste acts on the terminal."""
    for name in ("tame", "wild"):
        (tmp_path / name).mkdir()
    check_inert(screen(tmp_path / "wild", ACTING), screen(tmp_path / "tame", HARMLESS))


def command(folder: Path, text: str, *words: str) -> bytes:
    """What a command that only reads writes to a terminal."""
    folder.mkdir()
    (folder / "journals").mkdir()
    journal = written(folder / "journals" / "j.jsonl", text)
    named = [str(journal) if word == "JOURNAL" else word for word in words]
    environment = {"FIELDTUI_JOURNALS": str(folder / "journals"), "XDG_CACHE_HOME": str(folder)}
    with Terminal(fieldtui(*named), columns=160, rows=50, environment=environment) as told:
        told.wait_end()
        told.drain()
        assert told.process.returncode in (0, 1)
        assert b"Traceback" not in told.output
        return bytes(told.output)


@pytest.mark.parametrize(
    "words",
    [("show", "JOURNAL"), ("past", "W0QSL"), ("report", "JOURNAL", "--text"), ("cards", "list")],
    ids=lambda words: words[0],
)
def test_a_command_on_a_hostile_journal(words: tuple[str, ...], tmp_path: Path):
    tame = command(tmp_path / "tame", HARMLESS, *words)
    assert tame.strip()
    check_inert(command(tmp_path / "wild", ACTING, *words), tame)


def watched(folder: Path, text: str) -> bytes:
    """Readings with lines of this text between them, as `feeds watch` prints them."""
    folder.mkdir()
    stop = threading.Event()
    with PtyPort(folder / "shunt") as port:
        lines = b"12.8,0.1\n12.8,0.1\n" + text.encode() + b"\n"
        sender = threading.Thread(
            target=lambda: [port.write(lines) for _ in iter(lambda: stop.wait(0.1), True)]
        )
        sender.start()
        try:
            with Terminal(fieldtui("feeds", "watch", port.url, "--count", "6"), columns=160) as told:
                told.wait_end()
                told.drain()
                return bytes(told.output)
        finally:
            stop.set()
            sender.join()


def test_watching_a_hostile_feed(tmp_path: Path):
    check_inert(watched(tmp_path / "wild", ACTING), watched(tmp_path / "tame", HARMLESS))


@pytest.mark.parametrize("act", [lambda text: text + "\x1b]52;c;aGk=\x07", lambda text: text + "\x1b[6n"])
def test_the_comparison_can_fail(act: Callable[[str], str]):
    """What would slip through if a text were drawn as it came is seen."""
    with pytest.raises(AssertionError):
        check_inert(act("\x1b[1mlamp\x1b[0m").encode(), b"\x1b[1mlamp\x1b[0m")
