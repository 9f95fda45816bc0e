"""The session screen with a position receiver and a modem on real pseudo-terminals."""

from __future__ import annotations

import json
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

import pytest

from fieldtui.demo.virtual_port import PtyPort
from tests.feeds.nmea_making import gga, gsa, rmc
from tests.packets.making import at, kiss
from tests.support.journals import folded
from tests.support.terminal import Terminal, fieldtui

STATION = """
[operator]
call = "W7QRV"
[place]
name = "Larkspur Ridge"
locator = "CN94fl"
"""


@pytest.fixture
def ports(tmp_path: Path):
    """A receiver and a modem, plugged in."""
    with PtyPort(tmp_path / "receiver") as receiver, PtyPort(tmp_path / "modem") as modem:
        yield receiver, modem


@pytest.fixture
def hill(tmp_path: Path, ports):
    """A screen that reads both."""
    (tmp_path / "station.toml").write_text(STATION)
    receiver, modem = ports
    words = ("--gps", receiver.url, "--packet", modem.url, "--station", tmp_path / "station.toml")
    with Terminal(
        fieldtui("session", "--journal", tmp_path / "j.jsonl", *words), columns=120, rows=40
    ) as terminal:
        terminal.wait_for("F12 packets")
        yield terminal


def speak(hill: Terminal, receiver: PtyPort, words: str) -> None:
    """Sentences of the moment, once a second as receivers do, until the screen says the words."""
    spoken: list[int] = []

    def said() -> bool:
        now = datetime.now(UTC)
        if int(now.timestamp()) not in spoken:
            spoken.append(int(now.timestamp()))
            receiver.write(rmc(now) + gga(now) + gsa())
        return words in hill.text

    hill.wait_for(said)


def test_the_place_is_taken_from_the_receiver_with_one_key(hill, ports, tmp_path):
    receiver, _ = ports
    hill.press("ctrl+g")
    hill.wait_for("no fix from a position receiver yet")
    speak(hill, receiver, "3D fix")
    hill.press("ctrl+g")
    hill.wait_for("here: JN57xo, by the position receiver")
    state = folded(tmp_path / "j.jsonl")
    assert state.place.locator == "JN57xo"
    assert state.position.locator(6) == "JN57xo"


def test_a_message_by_packet_rings_once_and_is_shown(hill, ports, tmp_path):
    _, modem = ports
    modem.write(kiss("KD7QSV-9", at(44.60, -121.30)))
    modem.write(kiss("KD7QSV-9", b":W7QRV    :half an hour late{12"))
    hill.wait_for("by packet from KD7QSV-9: half an hour late (F12 shows it)")
    hill.send("kd7qsv 59 57 Rosa\r")
    hill.wait_for("23 km NE")
    hill.press("f12")
    hill.wait_for("PACKETS: 1 NEW MESSAGE, 2 heard")
    assert hill.rung == 1
    hill.send("s")
    hill.wait_for("messages marked as seen")
    hill.press("escape")
    hill.wait_for("F12 packets")
    shown = subprocess.run(
        fieldtui("show", tmp_path / "j.jsonl", "--json"), capture_output=True, text=True, check=True
    )
    told = json.loads(shown.stdout)
    assert told["contacts"][0]["distance_source"] == "packet"


def test_a_receiver_that_is_pulled_out_and_put_back(hill, ports):
    receiver, _ = ports
    speak(hill, receiver, "3D fix")
    receiver.unplug()
    hill.wait_for("position receiver")
    hill.send("note the cable came off\r")
    hill.wait_for("noted")
    receiver.plug()
    speak(hill, receiver, "3D fix")


def test_a_screen_without_feeds_loads_nothing_of_them() -> None:
    code = (
        "import sys, fieldtui.cli.session, fieldtui.screens.running\n"
        "print([name for name in sys.modules if name == 'serial' or name.startswith("
        "('fieldtui.feeds.modbus', 'fieldtui.feeds.gpsd', 'fieldtui.feeds.nmea', 'fieldtui.feeds.reader',"
        " 'fieldtui.screens.battery_feed', 'fieldtui.screens.position_feed', 'fieldtui.screens.packet_'))])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
