"""Nothing goes on the air unmeant: looked at where it counts, at the far end of every port of the real program.

Every key of the registry and what people type are thrown at every page, held keys, pastes, noise of a link too.
"""

from __future__ import annotations

import socket
import subprocess
import threading
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from datetime import UTC, datetime
from pathlib import Path

import pytest

from fieldtui.browser.keystrokes import sequence_of
from fieldtui.feeds.modbus import MOST_IN_VAIN, QUIET_SECONDS
from fieldtui.feeds.modbus_frames import with_crc
from fieldtui.journal.packet_events import PacketSent
from fieldtui.screens.keys import ACTIONS, PAGES, keys_of
from fieldtui.screens.pages.sending import STOOD_SECONDS
from tests.feeds.nmea_making import gga, gsa, rmc
from tests.packets.making import at, kiss
from tests.support.far_end import FarEnd, frames_in
from tests.support.journals import of_kind
from tests.support.sender import frame
from tests.support.terminal import Terminal, fieldtui

OPERATOR = '[operator]\ncall = "W7QRV"\n[place]\nname = "Larkspur Ridge"\nlocator = "CN94fl"\n'
SENDING = "[packet]\nmay_send = true\nssid = 7\nmhz = 144.39\n"
QUESTION = bytes.fromhex("010300000001840a")
KEYS = keys_of({})
EVERY_KEY = [sequence for key in {*KEYS.values(), "enter", "tab", "escape"} if (sequence := sequence_of(key))]
TYPED = (
    "py2pt 59 57\r", "note my pole fell\r", "kd7pqr 59 57 Rosa\r", "transmit\r", "yes\r", "y", "n", "p", "m", "s",
    "send position\r", "W7QRV\r", "the quick brown fox jumps over the lazy dog 0123456789 ,.-;:_/?!\r",
    "\x1b[200~py2pt 59 57\ntransmit\n\x1b[201~", "\x1bo\x1be\x1bp", "\xff\xfe\r",
)  # fmt: skip
PAGE_KEYS = [KEYS[name] for name in ("help", "channels", "battery", "form", "packets", "plan")]


def sentences() -> bytes:
    now = datetime.now(UTC)
    return rmc(now) + gga(now) + gsa()


def packet() -> bytes:
    """Somebody near asks: nothing may answer by itself."""
    return (
        kiss("W0QSL", b":W7QRV    :where are you{1")
        + kiss("W0QSM", b"?APRS?")
        + kiss("W0QSN", at(44.5, -121.5))
    )


def meter(data: bytes) -> bytes:
    return with_crc(bytes.fromhex("0103020500")) * (data == QUESTION)


def throw_everything(hill: Terminal) -> None:
    """On the session screen and on every page: each key alone, then what people type, then all of it in one piece."""
    for page in ("", *PAGE_KEYS):
        for thrown in (*EVERY_KEY, *TYPED):
            hill.send("\x1b")
            time.sleep(0.06)
            hill.send((sequence_of(page) or "") + thrown + "n")
            time.sleep(0.02)
    hill.send("\x1b")
    time.sleep(0.2)
    hill.send("n\x1b")
    time.sleep(0.2)
    assert hill.process.poll() is None


@contextmanager
def on_the_hill(folder: Path, station: str, *words: str | Path) -> Iterator[Terminal]:
    """A screen with this station file, read to its end."""
    (folder / "station.toml").write_text(station)
    command = fieldtui(
        "session", "--station", folder / "station.toml", "--journal", folder / "j.jsonl", *words
    )
    with Terminal(command, columns=120, rows=40) as terminal:
        terminal.wait_for("F12 packets")
        yield terminal


def open_packets(hill: Terminal) -> None:
    hill.press("f12")
    hill.wait_for("Esc back")


def held(hill: Terminal, key: str, *, times: int, every: float = 0.02) -> None:
    for _ in range(times):
        hill.send(key)
        time.sleep(every)


def wait_a_second(hill: Terminal) -> None:
    """As who has read the question does."""
    assert hill.process.poll() is None
    time.sleep(STOOD_SECONDS + 0.2)


def confirm(hill: Terminal) -> None:
    hill.send("\x0f")
    hill.wait_for("MAY PACKETS BE SENT?")
    wait_a_second(hill)
    hill.send("transmit\r")
    hill.wait_for("confirmed for 30 min")


def send_position(hill: Terminal, journal: Path, modem: FarEnd) -> None:
    before = len(of_kind(journal, PacketSent))
    hill.send("\x0f")
    hill.wait_for("SEND THIS?")
    wait_a_second(hill)
    hill.send("\r")
    # The line is written when the port took the frame, which the far end reads a moment later.
    hill.wait_for(lambda: len(of_kind(journal, PacketSent)) > before and len(modem.frames) > before)


def test_listeners_hear_nothing_and_a_meter_its_questions_whatever_is_pressed(tmp_path: Path):
    """One port for each section of the station file. The modem's switch is on, and nothing was confirmed."""
    with ExitStack() as stack:
        shunt = stack.enter_context(FarEnd(lambda: frame(13.1, -0.4)))
        charger = stack.enter_context(FarEnd(lambda: frame(13.2, 2.0)))
        receiver = stack.enter_context(FarEnd(sentences))
        modem = stack.enter_context(FarEnd(packet))
        asked = stack.enter_context(FarEnd(answers=meter))
        station = (
            f'{OPERATOR}{SENDING}[feeds]\nshunt = "{shunt.port}"\ncharger = "{charger.port}"\n'
            f'gps = "{receiver.port}"\npacket = "{modem.port}"\n'
            f'[modbus]\nport = "{asked.port}"\nvolts = "0 u16 0.01"\nrole = "second"\n'
        )
        hill = stack.enter_context(on_the_hill(tmp_path, station))
        hill.wait_for("resting")
        hill.wait_for(lambda: asked.took)
        throw_everything(hill)
        held(hill, "p", times=60)
        open_packets(hill)
        for key in ("p", "y", "\x0f", "\x05", "\r"):
            held(hill, key, times=60)
        assert hill.process.poll() is None
        added = fieldtui("add", "--journal", tmp_path / "j.jsonl", "send position")
        subprocess.run(added, capture_output=True, timeout=60, check=False)
        for listener in (shunt, charger, receiver, modem):
            assert listener.took == b""
        assert asked.took.replace(QUESTION, b"") == b""
    assert of_kind(tmp_path / "j.jsonl", PacketSent) == []


def test_with_the_switch_off_the_modem_gets_no_byte(tmp_path: Path):
    with (
        FarEnd(packet) as modem,
        on_the_hill(tmp_path, f'{OPERATOR}[feeds]\npacket = "{modem.port}"\n') as hill,
    ):
        throw_everything(hill)
        open_packets(hill)
        hill.send("\x0f")
        hill.wait_for("may_send = true")
        hill.send("transmit\r")
        time.sleep(STOOD_SECONDS)
        hill.send("\r")
        time.sleep(0.5)
        assert modem.took == b""


def test_one_frame_for_each_order_and_none_beside_them(tmp_path: Path):
    """A contact typed on the page before and after the confirmation, held keys, a paste; then the file closes it."""
    journal, station = tmp_path / "j.jsonl", tmp_path / "station.toml"
    with FarEnd(packet) as modem:
        text = f'{OPERATOR}{SENDING}[feeds]\npacket = "{modem.port}"\n'
        with on_the_hill(tmp_path, text) as hill:
            open_packets(hill)
            hill.send("py2pt 59 57\r")
            hill.wait_for("typed text goes nowhere here")
            confirm(hill)
            for typed in ("kd7pqr 59 57\r", "note my pole fell\r", "\x1b[200~py2pt 59 57\n\x1b[201~"):
                hill.send(typed)
                hill.wait_for("typed text goes nowhere here")
            assert modem.took == b""
            confirm_again_if_withdrawn(hill)
            send_position(hill, journal, modem)
            assert len(modem.frames) == 1
            assert modem.frames[0].startswith("W7QRV-7>APZFUI:=")
            # Held for longer than the gate waits between two frames, by each key that has a part in it.
            for key in ("\x0f", "\r"):
                held(hill, key, times=100, every=0.06)
            assert len(modem.frames) == len(of_kind(journal, PacketSent)) == 1
            hill.send("\x1b")
            time.sleep(STOOD_SECONDS)
            send_position(hill, journal, modem)
            assert len(modem.frames) == len(of_kind(journal, PacketSent)) == 2
            station.write_text(text.replace("may_send = true", "may_send = false"))
            hill.wait_for("sending packets is off")
            hill.send("\x0f")
            time.sleep(STOOD_SECONDS + 0.2)
            hill.send("\r")
            time.sleep(0.5)
            station.write_text(text)
            confirm(hill)
            station.unlink()
            hill.wait_for("no station file can be read")
            assert len(modem.frames) == 2


def confirm_again_if_withdrawn(hill: Terminal) -> None:
    """`w` in what was typed may have withdrawn it, which is the safe side."""
    time.sleep(STOOD_SECONDS)
    hill.press("pageup")
    hill.wait_for("ctrl+o position")
    if "withdraws" not in hill.text:
        confirm(hill)


def test_withdrawn_is_withdrawn(tmp_path: Path):
    with FarEnd() as modem:
        with on_the_hill(tmp_path, f'{OPERATOR}{SENDING}[feeds]\npacket = "{modem.port}"\n') as hill:
            open_packets(hill)
            confirm(hill)
            time.sleep(STOOD_SECONDS)
            hill.send("w")
            hill.wait_for("withdrawn: nothing is sent any more")
            hill.send("\x0f")
            hill.wait_for("MAY PACKETS BE SENT?")
            wait_a_second(hill)
            hill.send("\r")
            time.sleep(0.5)
        assert modem.took == b""


class TcpModem:
    """A modem at a network address, for any number of programs; `took` is what each sent."""

    def __init__(self) -> None:
        self._server = socket.create_server(("127.0.0.1", 0))
        self.url = f"socket://127.0.0.1:{self._server.getsockname()[1]}"
        self.took: list[bytearray] = []
        threading.Thread(target=self._accept, daemon=True).start()

    def _accept(self) -> None:
        try:
            while True:
                connection, _ = self._server.accept()
                threading.Thread(target=self._read, args=(connection,), daemon=True).start()
        except OSError:
            return

    def _read(self, connection: socket.socket) -> None:
        took = bytearray()
        self.took.append(took)
        with connection:
            while data := connection.recv(4096):
                took += data

    def __enter__(self) -> TcpModem:
        return self

    def __exit__(self, *_: object) -> None:
        self._server.close()


def test_what_one_screen_confirmed_opens_no_other(tmp_path: Path):
    journal = tmp_path / "j.jsonl"
    with TcpModem() as modem:
        text = f'{OPERATOR}{SENDING}[feeds]\npacket = "{modem.url}"\n'
        with on_the_hill(tmp_path, text) as first, on_the_hill(tmp_path, text) as second:
            first.wait_for(lambda: len(modem.took) == 2)
            for hill in (first, second):
                open_packets(hill)
            confirm(first)
            second.send("\x0f")
            second.wait_for("MAY PACKETS BE SENT?")
            wait_a_second(second)
            second.send("\r")
            second.wait_for("nothing is sent")
            before = len(of_kind(journal, PacketSent))
            first.send("\x0f")
            first.wait_for("SEND THIS?")
            wait_a_second(first)
            first.send("\r")
            first.wait_for(lambda: len(of_kind(journal, PacketSent)) > before)
            first.wait_for(lambda: any(frames_in(bytes(each)) for each in modem.took))
            throw_everything(second)
            assert [len(frames_in(bytes(each))) for each in modem.took].count(1) == 1
            assert b"".join(map(bytes, modem.took)).count(b"APZFUI") == 0, "the address is shifted by one bit"
            assert sum(len(frames_in(bytes(each))) for each in modem.took) == 1


def test_a_meter_named_at_the_modems_port_is_not_asked(tmp_path: Path):
    """Refused at the start, in one line; the modem is listened to all the same."""
    with FarEnd(packet) as modem:
        station = (
            f'{OPERATOR}[feeds]\npacket = "{modem.port}"\n'
            f'[modbus]\nport = "{modem.port}"\nvolts = "0 u16 0.01"\n'
        )
        with on_the_hill(tmp_path, station) as hill:
            hill.wait_for("feeds.packet and modbus.port name one port")
            open_packets(hill)
            hill.wait_for("W0QSN")
            time.sleep(2 * QUIET_SECONDS)
        assert modem.took == b""


@pytest.mark.parametrize(
    "speaks", [packet, sentences, lambda: frame(13.1, -0.4)], ids=["modem", "receiver", "shunt"]
)
def test_a_meter_on_a_line_that_speaks_is_not_asked(speaks, tmp_path: Path):
    """The meter's own port, and something else at its end: swapped by a replug."""
    with FarEnd(speaks) as other:
        with on_the_hill(
            tmp_path, f'{OPERATOR}[modbus]\nport = "{other.port}"\nvolts = "0 u16 0.01"\n'
        ) as hill:
            hill.wait_for("instead of a")
            time.sleep(QUIET_SECONDS)
        assert other.took == b""


def test_a_meter_that_is_not_there_is_asked_ten_times(tmp_path: Path):
    """A modem that hears nobody gets ten questions, of which none is a frame, and then no more."""
    with FarEnd() as modem:
        with on_the_hill(
            tmp_path, f'{OPERATOR}[modbus]\nport = "{modem.port}"\nvolts = "0 u16 0.01"\n'
        ) as hill:
            hill.wait_for("10 questions and no", seconds=90)
            time.sleep(2 * QUIET_SECONDS)
        assert modem.took == QUESTION * MOST_IN_VAIN
        assert modem.frames == []


def test_a_question_that_a_modem_would_send_is_not_asked(tmp_path: Path):
    with FarEnd() as modem:
        with on_the_hill(
            tmp_path, f'{OPERATOR}[modbus]\nport = "{modem.port}"\nvolts = "192 u16 0.01"\n'
        ) as hill:
            hill.wait_for("holds C0")
            time.sleep(2 * QUIET_SECONDS)
        assert modem.took == b""


def test_the_port_of_a_meter_that_becomes_the_modems_is_let_go(tmp_path: Path):
    """As when names swap at a replug: the link that is the modem's name comes to lead to the meter's port."""
    modem_name = tmp_path / "modem"
    with FarEnd(answers=meter) as line:
        station = (
            f'{OPERATOR}[feeds]\npacket = "{modem_name}"\n'
            f'[modbus]\nport = "{line.port}"\nvolts = "0 u16 0.01"\n'
        )
        with on_the_hill(tmp_path, station) as hill:
            hill.wait_for("resting")
            modem_name.symlink_to(line.port)
            hill.wait_for("not read")
            asked = line.took
            time.sleep(3)
            assert line.took == asked


@pytest.mark.parametrize("keys", ['packets-position = "y"', 'packets = "y"\npackets-position = "y"'])
def test_keys_that_could_send_by_chance_are_told_at_the_start(keys: str, tmp_path: Path):
    with FarEnd() as modem:
        station = f'{OPERATOR}{SENDING}[feeds]\npacket = "{modem.port}"\n[screen.keys]\n{keys}\n'
        with on_the_hill(tmp_path, station) as hill:
            hill.wait_for("may be typed by chance")
            held(hill, "y", times=50)
            open_packets(hill)
            held(hill, "y", times=50)
        assert modem.took == b""


def test_every_page_that_a_key_opens_is_in_what_is_thrown():
    """A page that comes to be must be thrown at too."""
    assert set(PAGES) == {"packets", "plan", "form"}
    assert {action.name for action in ACTIONS} >= {"help", "channels", "battery", "form", "packets", "plan"}
