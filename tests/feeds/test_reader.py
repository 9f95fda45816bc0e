"""The reader on real pseudo-terminals and sockets: everything a cable can do to it."""

from __future__ import annotations

import contextlib
import random
import socket
import threading
from collections.abc import Callable, Iterator
from itertools import pairwise
from pathlib import Path
from typing import Any, NoReturn

import pytest
import serial
import serial.rfc2217

from fieldtui.demo.virtual_port import PtyPort
from fieldtui.feeds.batches import MOST_READINGS
from fieldtui.feeds.clock import boot_seconds
from fieldtui.feeds.label_frames import encode_label_frame
from fieldtui.feeds.reader import FeedReader
from fieldtui.feeds.readings import BatteryReading, Item
from fieldtui.feeds.recogniser import ShuntRecogniser

FRAME = encode_label_frame([("V", "12846"), ("I", "-250")])
OTHER_FRAME = encode_label_frame([("V", "12310"), ("I", "-8450")])
READING = BatteryReading(volts=12.846, amps=-0.25)
OTHER_READING = BatteryReading(volts=12.31, amps=-8.45)
WORDS_SHOULD_SAY = {
    "absent": "plug it in",
    "busy": "in use by another program",
    "bad_address": "not a serial port",
    "lost": "is gone",
    "wrong_speed": "check the speed (19200)",
    "silent": "no reading for",
}


def assert_clear(witness: Any) -> None:
    """Each state is one line; the remedy is in it; no state follows itself."""
    for state in witness.states:
        assert state.words.isprintable()
        assert WORDS_SHOULD_SAY.get(state.condition.value, "") in state.words
    assert all(a != b for a, b in pairwise(witness.conditions))


def test_readings_come_stamped_from_the_readers_own_thread(port, read, witness, wait_for):
    before = boot_seconds()
    reader = read(port.url)
    wait_for(lambda: READING in witness.readings, nudge=lambda: port.write(FRAME))
    assert all(before <= timed.monotonic_seconds <= boot_seconds() for timed in witness.items)
    assert witness.conditions == ["opening", "reading"]
    assert witness.threads == {"feed-shunt"}
    assert reader.state == witness.states[-1]
    assert reader.state.feed == "shunt"
    assert reader.state.url == port.url


def test_unplugged_and_plugged_in_again_under_the_same_name(port, read, witness, wait_for):
    """The line hangs up, another pseudo-terminal takes its name, and readings go on."""
    read(port.url)
    wait_for(lambda: READING in witness.readings, nudge=lambda: port.write(FRAME))
    port.unplug()
    wait_for(lambda: witness.conditions[-1] == "lost")
    port.plug()
    wait_for(lambda: OTHER_READING in witness.readings, nudge=lambda: port.write(OTHER_FRAME))
    assert witness.conditions == ["opening", "reading", "lost", "reading"]
    assert_clear(witness)


def test_a_half_frame_before_the_loss_is_forgotten(port, read, witness, wait_for):
    """The rest of it after the replug would otherwise complete a frame that never was."""
    read(port.url)
    wait_for(lambda: READING in witness.readings, nudge=lambda: port.write(FRAME))
    port.write(OTHER_FRAME[:15])
    port.unplug()
    wait_for(lambda: witness.conditions[-1] == "lost")
    port.plug()
    wait_for(lambda: witness.readings.count(READING) > 3, nudge=lambda: port.write(OTHER_FRAME[15:] + FRAME))
    assert OTHER_READING not in witness.readings


def test_a_port_that_comes_late_is_found(tmp_path: Path, read, witness, wait_for):
    port = PtyPort(tmp_path / "late")
    read(port.url)
    wait_for(lambda: witness.conditions[-1:] == ["absent"])
    with port:
        wait_for(lambda: witness.readings, nudge=lambda: port.write(FRAME))
    assert witness.conditions[:4] == ["opening", "absent", "opening", "reading"]
    assert_clear(witness)


def test_failing_again_and_again_is_told_once(tmp_path: Path, read, witness, wait_for, monkeypatch):
    """The real opening is only counted on its way."""
    attempts, really_open = [], serial.serial_for_url

    def counted(url: str, **words: Any) -> serial.SerialBase:
        attempts.append(url)
        return really_open(url, **words)

    monkeypatch.setattr(serial, "serial_for_url", counted)
    read(str(tmp_path / "nothing"), backoff=(0.001,))
    wait_for(lambda: len(attempts) > 20)
    assert witness.conditions == ["opening", "absent"]


def test_a_port_in_use_by_another_program(port, read, witness, wait_for):
    with serial.Serial(port.device, exclusive=True):
        read(port.url)
        wait_for(lambda: witness.conditions[-1:] == ["busy"])
    wait_for(lambda: witness.readings, nudge=lambda: port.write(FRAME))
    assert witness.conditions == ["opening", "busy", "opening", "reading"]
    assert_clear(witness)


def test_the_reader_keeps_others_out(port, read, witness, wait_for):
    read(port.url)
    wait_for(lambda: witness.readings, nudge=lambda: port.write(FRAME))
    with pytest.raises(serial.SerialException, match="exclusively lock"):
        serial.Serial(port.device, exclusive=True)


@pytest.mark.parametrize(
    "url", ["/dev/null", "nowhere://x", "socket://127.0.0.1", "rfc2217://h:99999", "a\0b"]
)
def test_what_is_no_port_is_called_so(url: str, read, witness, wait_for):
    read(url)
    wait_for(lambda: witness.conditions[-1:] == ["bad_address"])
    assert_clear(witness)


@pytest.mark.parametrize("make", [Path.touch, Path.mkdir])
def test_a_file_or_folder_is_no_port(make: Callable[[Path], None], tmp_path: Path, read, witness, wait_for):
    make(tmp_path / "[bold]thing")
    read(str(tmp_path / "[bold]thing"))
    wait_for(lambda: witness.conditions[-1:] == ["bad_address"])
    assert_clear(witness)
    assert "[" not in witness.states[-1].words


def test_a_speed_beyond_the_driver_ends_in_words(port, read, witness, wait_for):
    read(port.url, baud=10**12)
    wait_for(lambda: witness.conditions[-1:] == ["bad_address"])
    assert "speed" in witness.states[-1].words


def test_noise_is_called_a_wrong_speed_and_ends(port, read, witness, wait_for):
    noise = random.Random(9600).randbytes(64)
    read(port.url)
    wait_for(lambda: "wrong_speed" in witness.conditions, nudge=lambda: port.write(noise))
    wait_for(lambda: witness.conditions[-1] == "reading", nudge=lambda: port.write(FRAME))
    assert witness.problem_codes.count("wrong_speed") == 1
    assert_clear(witness)


def test_silence_is_told_once_and_its_seconds_grow(port, read, witness, wait_for):
    reader = read(port.url, silent_after_seconds=0.4)
    wait_for(lambda: witness.readings, nudge=lambda: port.write(FRAME))
    wait_for(lambda: witness.conditions[-1] == "silent")
    wait_for(lambda: "no reading for 2 s" in reader.state.words)
    assert witness.conditions.count("silent") == 1
    assert reader.state.since == witness.items[-1].monotonic_seconds
    wait_for(lambda: witness.conditions[-1] == "reading", nudge=lambda: port.write(FRAME))
    assert_clear(witness)


def test_text_that_is_no_reading_is_silence_of_another_kind(port, read, witness, wait_for):
    read(port.url, silent_after_seconds=0.4)
    wait_for(lambda: "silent" in witness.conditions, nudge=lambda: port.write(b"hello\r\n"))
    assert "bytes come, but no reading" in witness.states[-1].words


def test_a_flood_neither_grows_nor_starves(port, read, witness, wait_for):
    """A sender without any pause; then, at once, the reading that comes after it is seen."""
    read(port.url)
    flooding = threading.Event()
    flooding.set()

    def flood() -> None:
        while flooding.is_set():
            port.write(FRAME * 100)

    sender = threading.Thread(target=flood)
    sender.start()
    try:
        wait_for(lambda: len(witness.batches) > 10)
    finally:
        flooding.clear()
        sender.join()
    wait_for(lambda: OTHER_READING in witness.readings, nudge=lambda: port.write(OTHER_FRAME))
    assert max(len(batch) for batch in witness.batches) <= MOST_READINGS + 10
    assert set(witness.readings) == {READING, OTHER_READING}


def test_stop_ends_the_thread_and_frees_the_port(port, read, witness, wait_for):
    reader = read(port.url)
    wait_for(lambda: witness.readings, nudge=lambda: port.write(FRAME))
    told = len(witness.states)
    reader.stop()
    reader.stop()
    assert reader.state.condition == "stopped"
    assert len(witness.states) == told
    serial.Serial(port.device, exclusive=True).close()


def test_stop_before_start_does_nothing(port, witness):
    reader = FeedReader("shunt", port.url, ShuntRecogniser, witness.on_readings, witness.on_state)
    reader.stop()
    assert reader.state.condition == "stopped"


@pytest.mark.parametrize("broken", ["on_readings", "on_state", "parser"])
def test_a_defect_in_a_callback_or_parser_ends_the_reader_in_words(broken: str, port, witness, wait_for):
    def fail(*_: Any) -> NoReturn:
        raise OSError("not from the port")

    class Broken(ShuntRecogniser):
        def feed(self, data: bytes) -> list[Item]:
            fail()

    reader = FeedReader(
        "shunt",
        port.url,
        Broken if broken == "parser" else ShuntRecogniser,
        fail if broken == "on_readings" else witness.on_readings,
        fail if broken == "on_state" else witness.on_state,
    )
    with reader:
        wait_for(lambda: reader.failure is not None, nudge=lambda: port.write(FRAME))
        wait_for(lambda: reader.state.condition == "stopped")
        assert "OSError in this program" in reader.state.words
        if broken != "on_state":
            wait_for(lambda: witness.conditions[-1] == "stopped")
    serial.Serial(port.device, exclusive=True).close()


class Server:
    """A TCP server that hands its one client's socket out."""

    def __init__(self) -> None:
        self.listener = socket.create_server(("127.0.0.1", 0))
        self.port = self.listener.getsockname()[1]
        self.client: socket.socket | None = None
        self._expect()

    def _expect(self) -> None:
        threading.Thread(target=self._accept, daemon=True).start()

    def _accept(self) -> None:
        with contextlib.suppress(OSError):  # closed before anybody came
            self.client, _ = self.listener.accept()

    def hang_up(self) -> None:
        assert self.client is not None
        self.client.close()
        self.client = None
        self._expect()

    def send(self, data: bytes) -> None:
        if self.client is not None:
            self.client.sendall(data)

    def close(self) -> None:
        with contextlib.suppress(OSError):  # without it the waiting accept() would keep the port open
            self.listener.shutdown(socket.SHUT_RDWR)
        self.listener.close()
        if self.client is not None:
            self.client.close()


@pytest.fixture
def server() -> Iterator[Server]:
    server = Server()
    yield server
    server.close()


def test_a_network_port_hangs_up_and_answers_again(server: Server, read, witness, wait_for):
    read(f"socket://127.0.0.1:{server.port}")
    wait_for(lambda: READING in witness.readings, nudge=lambda: server.send(FRAME))
    server.hang_up()
    wait_for(lambda: OTHER_READING in witness.readings, nudge=lambda: server.send(OTHER_FRAME))
    assert witness.conditions == ["opening", "reading", "lost", "reading"]
    assert "hung up" in witness.states[2].words


def test_a_network_port_that_hangs_up_at_once_is_told_once(server: Server, read, witness, wait_for):
    read(f"socket://127.0.0.1:{server.port}")
    for _ in range(3):
        wait_for(lambda: server.client is not None)
        server.hang_up()
    wait_for(lambda: server.client is not None)
    assert witness.conditions == ["opening", "lost"]


def test_a_network_port_where_nobody_answers(server: Server, read, witness, wait_for):
    server.close()
    read(f"socket://127.0.0.1:{server.port}")
    wait_for(lambda: witness.conditions[-1:] == ["absent"])
    assert "no answer from socket://127.0.0.1" in witness.states[-1].words


def test_a_network_flood_of_plain_lines(server: Server, read, witness, wait_for):
    read(f"socket://127.0.0.1:{server.port}")
    lines = b"12.846,-0.250\n" * 5000
    wait_for(lambda: len(witness.batches) > 10, nudge=lambda: server.send(lines))
    assert set(witness.readings) == {READING}


@pytest.mark.filterwarnings("ignore:setDaemon:DeprecationWarning", "ignore:setName:DeprecationWarning")
@pytest.mark.parametrize("knows_lines", [True, False], ids=["knows modem lines", "says nothing about them"])
@pytest.mark.parametrize("lines", ["down", "both"])
def test_line_settings_over_the_network(
    lines: str, knows_lines: bool, server: Server, read, witness, wait_for
):
    """RFC 2217 against pyserial's own server side; its port is a loop, which hears what is written to it."""
    with serial.serial_for_url("loop://", timeout=0.05) as far:
        assert far.dtr
        assert far.rts
        read(f"rfc2217://127.0.0.1:{server.port}", baud=9600, lines=lines)
        wait_for(lambda: server.client is not None)
        stop = threading.Event()
        bridge = threading.Thread(target=_bridge, args=(far, server.client, stop, knows_lines))
        bridge.start()
        try:
            wait_for(lambda: READING in witness.readings, nudge=lambda: far.write(FRAME))
            assert far.baudrate == 9600
            if knows_lines:
                assert (far.dtr, far.rts) == ((True, True) if lines == "both" else (False, False))
        finally:
            stop.set()
            bridge.join()


def _bridge(far: serial.Serial, client: socket.socket, stop: threading.Event, knows_lines: bool) -> None:
    class Connection:
        write = staticmethod(client.sendall)

    class Manager(serial.rfc2217.PortManager):
        def _telnet_process_subnegotiation(self, suboption: bytes) -> None:
            is_control = suboption[:2] == serial.rfc2217.COM_PORT_OPTION + serial.rfc2217.SET_CONTROL
            if knows_lines or not is_control:
                super()._telnet_process_subnegotiation(suboption)  # type: ignore[misc]  # the stubs leave it out

    manager = Manager(far, Connection())  # type: ignore[arg-type]  # the stubs ask for more than is used
    client.settimeout(0.05)
    while not stop.is_set():
        try:
            list(manager.filter(client.recv(1024)))
        except TimeoutError:
            pass
        except OSError:
            return
        client.sendall(b"".join(manager.escape(far.read(max(1, far.in_waiting)))))
