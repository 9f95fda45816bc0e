"""The session screen with a position receiver and a modem on real pseudo-terminals."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
import time
from datetime import UTC, datetime
from pathlib import Path

import pytest

from fieldtui.demo.virtual_port import PtyPort
from tests.feeds.nmea_making import gga, gsa, rmc
from tests.packets.making import at, kiss
from tests.support.journals import folded
from tests.support.sender import Sender, frame
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


def speak(hill: Terminal, receiver: PtyPort, words: str, *, without: str = "\0") -> None:
    """Sentences of the moment, once a second as receivers do, until the screen says the words and not the others."""
    spoken: list[int] = []

    def said() -> bool:
        now = datetime.now(UTC)
        if int(now.timestamp()) not in spoken:
            spoken.append(int(now.timestamp()))
            receiver.write(rmc(now) + gga(now) + gsa())
        return words in hill.text and without not in hill.text

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
    news = re.compile(r"by packet from KD7QSV-9 \d+ s ago: half an hour late \(F12 shows it\)")
    said: list[int] = []

    def heard() -> bool:
        """Said again each second, as the sender does until it is acknowledged; at first nobody may listen yet."""
        if int(time.monotonic()) not in said:
            said.append(int(time.monotonic()))
            modem.write(kiss("KD7QSV-9", at(44.60, -121.30)))
            modem.write(kiss("KD7QSV-9", b":W7QRV    :half an hour late{12"))
        return news.search(hill.text) is not None

    hill.wait_for(heard)
    hill.wait_for(lambda: hill.rung == 1)
    hill.send("kd7qsv 59 57 Rosa\r")
    hill.wait_for("23 km NE")
    hill.press("f12")
    hill.wait_for(lambda: re.search(r"PACKETS: 1 NEW MESSAGE, \d+ heard", hill.text))
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
    hill.wait_for("receiver: gone")
    hill.send("note the cable came off\r")
    hill.wait_for("noted")
    receiver.plug()
    speak(hill, receiver, "3D fix", without="receiver: gone")


def test_a_charger_is_told_apart_from_what_the_station_draws(tmp_path: Path):
    """3.2 A come from the charger and 2 A go into the pack: the station draws the rest."""
    with PtyPort(tmp_path / "shunt") as pack, PtyPort(tmp_path / "charger") as charger:
        (tmp_path / "station.toml").write_text(f'{STATION}\n[feeds]\ncharger = "{charger.url}"\n')
        words = ("--shunt", pack.url, "--station", tmp_path / "station.toml")
        with (
            Terminal(
                fieldtui("session", "--journal", tmp_path / "j.jsonl", *words), columns=120, rows=40
            ) as hill,
            Sender(pack, frame(13.30, 2.0)),
            Sender(charger, frame(13.30, 3.2)),
        ):
            hill.wait_for("charger 3.2 A")
            hill.wait_for("V charging")
            hill.press("f5")
            hill.wait_for("the charger gives 3.20 A")
            hill.wait_for("the station draws 1.20 A")


def test_a_screen_that_only_watches_opens_no_port(ports, tmp_path):
    receiver, modem = ports
    journal = tmp_path / "j.jsonl"
    subprocess.run(fieldtui("add", journal, "kd7qsv 59 57 Rosa"), check=True, capture_output=True)
    before = journal.read_bytes()
    words = ("--watch", "--gps", receiver.url, "--packet", modem.url)
    with Terminal(fieldtui("session", "--journal", journal, *words), columns=120, rows=40) as screen:
        screen.wait_for("watching only")
        now = datetime.now(UTC)
        receiver.write(rmc(now) + gga(now) + gsa())
        modem.write(kiss("KD7QSV-9", b":W7QRV    :half an hour late{12"))
        subprocess.run(fieldtui("add", journal, "w0qsl 57 55 Ada"), check=True, capture_output=True)
        screen.wait_for("W0QSL")
        screen.press("f12")
        screen.wait_for("PACKETS: 0 heard")
        opened = {
            os.readlink(link)
            for link in Path(f"/proc/{screen.process.pid}/fd").iterdir()
            if link.is_symlink()
        }
        assert not opened & {port.device for port in ports}
    assert journal.read_bytes()[len(before) :].count(b"\n") == 1, "only what the shell wrote"


def test_the_demo_has_a_receiver_and_a_modem_and_says_that_they_are_none(tmp_path: Path):
    """Its clock agrees with the machine's, its packets come from an invented valley, and every page says DEMO."""
    words = ("demo", "--pace", "10", "--keep", tmp_path)
    with Terminal(fieldtui(*words), columns=120, rows=40) as show:
        show.wait_for("3D fix  1284 m  9 satellites")
        show.wait_for("time from the receiver")
        assert "the system clock is" not in show.text
        show.wait_for("half an hour late, save me a contact (F12 shows it)")
        show.press("f12")
        show.wait_for("PACKETS: 1 NEW MESSAGE")
        assert show.text.startswith("DEMO: everything here is invented")
        show.wait_for("(K1QRN-5 says) aid point, water")
        show.press("escape")
        show.wait_for("F12 packets")
        show.press("f5")
        show.wait_for("BATTERY: readings")
        assert show.text.startswith("DEMO: everything here is invented")
        show.press("escape")
        show.wait_for("F12 packets")
        show.press("f10")
        show.wait_for("y leaves")
        show.send("y")
        assert show.wait_end() == 0
    (journal,) = tmp_path.glob("*.jsonl")
    state = folded(journal)
    assert state.place.locator == "CN94fl"
    assert state.position.locator(6) == "CN94fl"
    off = state.clock.off_now(state.clock.boot)
    assert off is not None
    assert abs(off) < 2
    assert "AID 1" in {station.name for station in state.packets.newest()}


def test_a_screen_without_feeds_loads_nothing_of_them() -> None:
    code = (
        "import sys, fieldtui.cli.session, fieldtui.screens.running\n"
        "print([name for name in sys.modules if name == 'serial' or name.startswith("
        "('fieldtui.feeds.modbus', 'fieldtui.feeds.gpsd', 'fieldtui.feeds.nmea', 'fieldtui.feeds.reader',"
        " 'fieldtui.live.battery', 'fieldtui.live.position', 'fieldtui.live.packets', 'fieldtui.screens.pages.packets', 'fieldtui.radio.packets'))])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
