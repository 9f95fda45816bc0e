"""Two screens on one journal, and a shunt and a modem behind network ports: both read both, and all counts once."""

from __future__ import annotations

import socket
import threading
import time
from contextlib import ExitStack
from pathlib import Path

import pytest

from fieldtui.journal.events import BatterySampled
from fieldtui.journal.packet_events import PacketHeard
from tests.packets.making import kiss
from tests.support.journals import folded, of_kind
from tests.support.sender import frame
from tests.support.terminal import Terminal, fieldtui

FRAMES = 12


class Hub:
    """Sends what it is given to everybody who has connected."""

    def __init__(self) -> None:
        self._server = socket.create_server(("127.0.0.1", 0))
        self.url = f"socket://127.0.0.1:{self._server.getsockname()[1]}"
        self.heard_by: list[socket.socket] = []
        self._thread = threading.Thread(target=self._accept, name="hub", daemon=True)

    def _accept(self) -> None:
        while True:
            try:
                self.heard_by.append(self._server.accept()[0])
            except OSError:
                return

    def send(self, data: bytes) -> None:
        for each in self.heard_by:
            each.sendall(data)

    def __enter__(self) -> Hub:
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._server.shutdown(socket.SHUT_RDWR)
        self._server.close()
        self._thread.join()
        for each in self.heard_by:
            each.close()


def test_what_two_screens_read_from_the_network_counts_once(tmp_path: Path):
    journal = tmp_path / "j.jsonl"
    (tmp_path / "station.toml").write_text('[operator]\ncall = "W7QRV"\n')
    with ExitStack() as stack:
        shunt, modem = stack.enter_context(Hub()), stack.enter_context(Hub())
        words = ("--shunt", shunt.url, "--packet", modem.url, "--station", tmp_path / "station.toml")
        hills: list[Terminal] = []

        def all_are_there() -> bool:
            return min(len(shunt.heard_by), len(modem.heard_by)) == len(hills)

        for _ in (1, 2):
            command = fieldtui("session", "--journal", journal, *words)
            hills.append(stack.enter_context(Terminal(command, columns=120, rows=40)))
            hills[-1].wait_for("F12 packets")
            hills[-1].wait_for(all_are_there)
        began = time.monotonic()
        for number in range(FRAMES):
            shunt.send(frame(13.0, -1.8))
            modem.send(kiss("KD7QSV-9", b":W7QRV    :number %d" % number))
            time.sleep(0.3)
        for hill in hills:
            hill.press("f12")
            hill.wait_for(f"PACKETS: {FRAMES} NEW MESSAGES, {FRAMES} heard")
            hill.press("escape")
            hill.wait_for("F12 packets")
        for hill in hills:
            hill.press("f10")
            hill.wait_for("y leaves")
            hill.send("y")
            assert hill.wait_end() == 0
        passed = time.monotonic() - began
    assert len({event.writer for event in of_kind(journal, BatterySampled)}) == 2
    assert len(of_kind(journal, PacketHeard)) == 2 * FRAMES, "each screen tells what it hears"
    state = folded(journal)
    assert (state.packets.good, state.packets.message_count) == (FRAMES, FRAMES)
    assert 0 < state.battery.covered_seconds < passed
    assert state.battery.out_amp_seconds == pytest.approx(1.8 * state.battery.covered_seconds, rel=0.02)
