"""A feed that is named and silent says so, for how long and with what to do, on every size of a real terminal."""

from __future__ import annotations

import os
import re
import socket
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

import pytest
import serial

from fieldtui.demo.virtual_port import PtyPort
from fieldtui.journal.events import FeedChanged
from tests.feeds.nmea_making import gga, gsa, rmc
from tests.packets.making import at, kiss
from tests.support.journals import of_kind
from tests.support.modbus_device import LinePair, ModbusServer
from tests.support.terminal import Terminal, fieldtui

NOBODY = 65534
SIZES = ((60, 20), (80, 24), (120, 40), (40, 10), (40, 5))
LASTS = r"(?:for )?\d+ (?:s|min|h)[ :;]"
"""How long, in every form of the line."""


@pytest.fixture(autouse=True)
def _nothing_of_ours(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """No station file of whoever runs the tests names feeds of its own."""
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))


@contextmanager
def hill(tmp_path: Path, *words: str | Path, humble: bool = False) -> Iterator[Terminal]:
    """A session with these feeds."""
    command = fieldtui("session", "--journal", tmp_path / "j.jsonl", *words)
    with Terminal(command, humble=humble) as terminal:
        terminal.wait_for("F1 help")
        yield terminal


def said_at_every_size(screen: Terminal, name: str, remedy: str) -> None:
    """The line names the feed, tells how long, and begins to say what to do; also on the smallest screens."""
    wanted = re.compile(rf"^{name}\b.* {LASTS}.*{remedy}", re.MULTILINE)
    for columns, rows in SIZES:
        screen.resize(columns, rows)
        screen.wait_for(lambda: wanted.search(screen.text))


def told_once(screen: Terminal, tmp_path: Path, feed: str, *wanted: str) -> None:
    """The journal has each condition, once; it is written within a second or so, while the program runs."""

    def told() -> list[str]:
        return [event.condition for event in of_kind(tmp_path / "j.jsonl", FeedChanged) if event.feed == feed]

    screen.wait_for(lambda: len(told()) >= len(wanted))
    assert told() == list(wanted)


class Talker:
    """Somebody who says something once a second, as a receiver does, until told to stop."""

    def __init__(self, say: Callable[[], object]) -> None:
        self._say, self._ended = say, threading.Event()
        self._thread = threading.Thread(target=self._run, daemon=True)

    def _run(self) -> None:
        while not self._ended.wait(1.0):
            self._say()

    def __enter__(self) -> Talker:
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._ended.set()
        self._thread.join()


def fixes(port: PtyPort, status: str = "A") -> Callable[[], object]:
    """Sentences of the moment, with a fix or without one."""

    def say() -> object:
        now = datetime.now(UTC)
        if status == "A":
            return port.write(rmc(now) + gga(now) + gsa())
        return port.write(rmc(now, status="V") + gga(now, quality=0))

    return say


class HangsUp:
    """A server that takes one caller at a time, and hangs up when told to; nobody answers from then on."""

    def __init__(self) -> None:
        self._open()

    def _open(self, port: int = 0) -> None:
        self._server = socket.create_server(("127.0.0.1", port))
        self._callers: list[socket.socket] = []
        threading.Thread(target=self._take, args=(self._server,), daemon=True).start()

    def _take(self, server: socket.socket) -> None:
        while True:
            try:
                self._callers.append(server.accept()[0])
            except OSError:
                return

    @property
    def url(self) -> str:
        return f"socket://127.0.0.1:{self.port}"

    def start(self) -> None:
        self.port = self._server.getsockname()[1]

    def hang_up(self) -> None:
        """For good: a thread that waits for callers would take one more."""
        self._server.shutdown(socket.SHUT_RDWR)
        self._server.close()
        for caller in self._callers:
            caller.close()

    def close(self) -> None:
        """Listen no more."""
        self._server.close()

    def start_again(self) -> None:
        self._open(self.port)

    @property
    def called(self) -> bool:
        return bool(self._callers)

    def say(self, data: bytes) -> None:
        for caller in self._callers:
            caller.sendall(data)


@pytest.fixture
def server() -> Iterator[HangsUp]:
    hanging = HangsUp()
    hanging.start()
    yield hanging
    hanging.close()


def test_a_receiver_that_is_not_there(tmp_path: Path):
    with hill(tmp_path, "--gps", tmp_path / "nothing") as screen:
        said_at_every_size(screen, "receiver", "plug it in")
        screen.resize(120, 40)
        screen.wait_for("receiver absent")
        screen.send("kd7qsv 59 57\r")
        screen.wait_logged("KD7QSV")
        assert re.search(rf"receiver: not found .*{LASTS} plug it in", screen.text), "nothing typed hides it"
        told_once(screen, tmp_path, "gps", "absent")


@pytest.mark.parametrize("url", ["http://x", "notes.txt"])
def test_a_receiver_at_what_is_no_port(url: str, tmp_path: Path):
    (tmp_path / "notes.txt").write_text("notes\n")
    with hill(tmp_path, "--gps", url if ":" in url else tmp_path / url) as screen:
        said_at_every_size(screen, "receiver", "give /dev/NAME")
        told_once(screen, tmp_path, "gps", "bad_address")


def test_a_receiver_that_this_user_may_not_read(tmp_path: Path):
    with PtyPort(tmp_path / "receiver") as port:
        if os.getuid() == 0:
            os.chown(port.device, NOBODY, NOBODY)
        Path(port.device).chmod(0o600 if os.getuid() == 0 else 0)
        with hill(tmp_path, "--gps", port.url, humble=True) as screen:
            said_at_every_size(screen, "receiver", "sudo usermod")
            told_once(screen, tmp_path, "gps", "denied")


def test_a_receiver_that_another_program_reads(tmp_path: Path):
    with (
        PtyPort(tmp_path / "receiver") as port,
        serial.Serial(port.device, exclusive=True),
        hill(tmp_path, "--gps", port.url) as screen,
    ):
        said_at_every_size(screen, "receiver", "close that one")
        told_once(screen, tmp_path, "gps", "busy")


def test_a_receiver_that_says_nothing(tmp_path: Path):
    with PtyPort(tmp_path / "receiver") as port, hill(tmp_path, "--gps", port.url) as screen:
        said_at_every_size(screen, "receiver", "check the cable")
        screen.resize(80, 24)
        seen = {
            found[1] for _ in seconds(4) if (found := re.search(r"^receiver.*?(\d+) s", screen.text, re.M))
        }
        assert len(seen) >= 3, "the seconds go on"


def test_something_else_than_a_receiver_talks_there(tmp_path: Path):
    with (
        PtyPort(tmp_path / "receiver") as port,
        Talker(lambda: port.write(b"hello, I am a thermometer: 21.5\r\n")),
        hill(tmp_path, "--gps", port.url) as screen,
    ):
        said_at_every_size(screen, "receiver", "check that")


def test_a_receiver_without_a_fix_is_no_dead_one(tmp_path: Path):
    with (
        PtyPort(tmp_path / "receiver") as port,
        Talker(fixes(port, status="V")),
        hill(tmp_path, "--gps", port.url) as screen,
    ):
        said_at_every_size(screen, "receiver", "give it open sky")
        screen.resize(80, 24)
        screen.wait_for("receiver: talks, but has no fix for")


def test_a_receiver_is_unplugged_and_plugged_in_again(tmp_path: Path):
    """What it said last is not shown as a fix of now, not for a second."""
    port = PtyPort(tmp_path / "receiver")
    with port, hill(tmp_path, "--gps", port.url) as screen:
        with Talker(fixes(port)):
            screen.wait_for("3D fix")
            assert "receiver" not in screen.text.replace("(receiver)", "")
        port.unplug()
        screen.wait_for("receiver: gone")
        assert "3D fix" not in screen.text
        said_at_every_size(screen, "receiver", "plug it in again")
        screen.resize(120, 40)
        screen.wait_for("last fix")
        assert "satellites" not in screen.text
        screen.resize(80, 24)
        port.plug()
        with Talker(fixes(port)):
            screen.wait_for("3D fix")
            assert "receiver: gone" not in screen.text
        told_once(screen, tmp_path, "gps", "reading", "lost", "reading")


def test_a_server_that_hangs_up(tmp_path: Path, server: HangsUp):
    def say() -> None:
        now = datetime.now(UTC)
        server.say(rmc(now) + gga(now) + gsa())

    with hill(tmp_path, "--gps", server.url) as screen:
        screen.wait_for(lambda: server.called)
        with Talker(say):
            screen.wait_for("3D fix")
        server.hang_up()
        said_at_every_size(screen, "receiver", "start the other")
        told_once(screen, tmp_path, "gps", "reading", "lost")


@pytest.mark.parametrize(
    ("url", "remedy"),
    [
        ("/dev/nothing", "plug it in"),
        ("socket://127.0.0.1:1", "start the other"),
        ("gpsd://127.0.0.1:1", "start the other"),
        ("notes.txt", "give /dev/NAME"),
    ],
)
def test_a_modem_that_is_not_there(url: str, remedy: str, tmp_path: Path):
    """On the screen and on its page."""
    (tmp_path / "notes.txt").write_text("notes\n")
    with hill(tmp_path, "--packet", tmp_path / url if url == "notes.txt" else url) as screen:
        said_at_every_size(screen, "modem", remedy)
        for columns, rows in ((60, 20), (80, 24), (120, 40)):
            screen.resize(columns, rows)
            screen.press("f12")
            screen.wait_for(
                lambda: re.search(rf"^PACKETS.*\n ?modem\b.* {LASTS}.*{remedy}", screen.text.strip())
            )
            assert "listening" not in screen.text
            screen.press("escape")
            screen.wait_for("F1 help")


def test_without_a_modem_the_page_says_so(tmp_path: Path):
    with hill(tmp_path) as screen:
        screen.press("f12")
        screen.wait_for("no modem: give its port as feeds.packet in the station file")


def test_a_modem_that_hangs_up_and_comes_back_to_a_quiet_channel(tmp_path: Path, server: HangsUp):
    """Nothing heard is not trouble: the page says that it listens, and since when or what it heard last."""
    with hill(tmp_path, "--packet", server.url) as screen:
        screen.press("f12")
        screen.wait_for("modem: listening, nothing heard for")
        server.say(kiss("KD7QSV-9", at(44.60, -121.30)))
        screen.wait_for("modem: listening, the last packet")
        server.hang_up()
        screen.wait_for("modem: hung up")
        screen.press("escape")
        screen.wait_for("F1 help")
        said_at_every_size(screen, "modem", "start the other")
        server.start_again()
        screen.resize(80, 24)
        screen.wait_for(lambda: "modem" not in screen.text)
        screen.press("f12")
        screen.wait_for("modem: listening, the last packet")
        told_once(screen, tmp_path, "packet", "listening", "reading", "lost", "listening")


def test_several_silent_feeds_take_turns_in_one_line_and_have_a_line_each_on_a_tall_screen(tmp_path: Path):
    words = ("--gps", "/dev/nothing", "--packet", "socket://127.0.0.1:1", "--shunt", "/dev/nobody")
    with hill(tmp_path, *words) as screen:
        for number, name in enumerate(("shunt", "receiver", "modem"), 1):
            screen.wait_for(f"{number}/3 {name}")
        screen.resize(120, 40)
        screen.wait_for(
            lambda: re.search(
                r"^shunt: not.*\n^receiver: not.*\n^modem: no answer", screen.text, re.MULTILINE
            )
        )


def test_a_meter_that_only_refuses_says_so_on_its_page_and_on_the_screen(tmp_path: Path):
    with LinePair() as line, ModbusServer(line.ports[1], [12_846, 65_286]):
        (tmp_path / "station.toml").write_text(
            f'[modbus]\nport = "{line.ports[0]}"\nvolts = "40 u16 0.001"\nparity = "none"\n'
        )
        with hill(tmp_path, "--station", tmp_path / "station.toml") as screen:
            screen.wait_for(lambda: "the device refused: exception 2" in screen.text.replace("│", " "))
            screen.press("f5")
            screen.wait_for("! shunt: the device refused: exception 2")


def test_a_screen_that_only_watches_says_what_the_journal_knows(tmp_path: Path):
    with hill(tmp_path, "--gps", tmp_path / "nothing") as screen:
        screen.wait_for("receiver: not found")
        with Terminal(fieldtui("session", "--watch", "--journal", tmp_path / "j.jsonl")) as other:
            said_at_every_size(other, "receiver", "plug it in")
            port = PtyPort(tmp_path / "nothing")
            with port, Talker(fixes(port)):
                other.resize(80, 24)
                other.wait_for("3D fix")
                assert "receiver: not found" not in other.text


def test_the_time_goes_on_while_the_journal_cannot_be_opened(tmp_path: Path):
    folder = tmp_path / "locked"
    folder.mkdir()
    folder.chmod(0o500)
    command = fieldtui("session", "--journal", folder / "j.jsonl")
    with Terminal(command, humble=True) as screen:
        screen.wait_for("NOT SAVED")
        times = {found[0] for _ in seconds(5) if (found := re.search(r"\d\d:\d\d:\d\d UTC", screen.text))}
        assert len(times) >= 3


def seconds(count: int) -> Iterator[int]:
    """So many real seconds, looked at four times each."""
    for look in range(4 * count):
        time.sleep(0.25)
        yield look
