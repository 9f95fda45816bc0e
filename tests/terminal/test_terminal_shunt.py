"""A battery shunt on a real serial line (a pseudo-terminal): everything that its cable can do, while somebody types."""

from __future__ import annotations

import os
import random
from itertools import islice
from pathlib import Path

import pytest
import serial

from fieldtui.demo.virtual_port import PtyPort
from fieldtui.journal.events import (
    BatterySampled,
    ContactLogged,
    FeedChanged,
    TransmissionEnded,
    TransmissionStarted,
)
from fieldtui.journal.verify import verify
from tests.support.big_digits import shows
from tests.support.calls import invented_calls
from tests.support.journals import of_kind
from tests.support.sender import Sender, frame
from tests.support.terminal import Terminal, fieldtui

NOBODY = 65534


def start(tmp_path: Path, url: str | Path, *, humble: bool = False) -> Terminal:
    """A session that reads this shunt."""
    return Terminal(fieldtui("session", "--journal", tmp_path / "j.jsonl", "--shunt", url), humble=humble)


def pane(hill: Terminal) -> str:
    """The battery pane's words, its lines joined."""
    rows = [
        line.strip("│║").replace("║", "│").rpartition("│")[2].strip() for line in hill.text.splitlines()[1:7]
    ]
    return " ".join(row for row in rows if row)


def log(hill: Terminal, call: str) -> None:
    """Type a contact and wait for its confirmation."""
    hill.send(f"{call.lower()} 59 57\r")
    hill.wait_logged(call)


def leave(hill: Terminal) -> None:
    """F10, y."""
    hill.press("f10")
    hill.wait_for("y leaves")
    hill.send("y")
    assert hill.wait_end() == 0


def conditions(tmp_path: Path) -> list[str]:
    """What the journal tells of the feed."""
    return [event.condition for event in of_kind(tmp_path / "j.jsonl", FeedChanged)]


def test_unplugged_and_plugged_in_again_while_contacts_are_typed(tmp_path: Path):
    """Volts, then one clear line that they are gone, then volts again; ten contacts typed meanwhile are all there."""
    port, calls = PtyPort(tmp_path / "usb-shunt-if00-port0"), list(islice(invented_calls(), 10))
    with start(tmp_path, port.url) as hill, port:
        with Sender(port, frame(12.85, -0.44)):
            hill.wait_for(lambda: shows(hill.text.splitlines(), "12.85"))
            hill.wait_for("V resting")
            for call in calls[:3]:
                log(hill, call)
        port.unplug()
        hill.wait_for(lambda: "is gone: plug it in" in pane(hill))
        assert "no reading for" in pane(hill)
        assert not shows(hill.text.splitlines(), "12.85") or "last 12.85 V" in pane(hill)
        for call in calls[3:7]:
            log(hill, call)
        port.plug()
        with Sender(port, frame(12.31, -0.44)):
            hill.wait_for(lambda: shows(hill.text.splitlines(), "12.31"))
            for call in calls[7:]:
                log(hill, call)
            assert "gone" not in pane(hill)
            leave(hill)
    assert [contact.call for contact in of_kind(tmp_path / "j.jsonl", ContactLogged)] == calls
    assert conditions(tmp_path) == ["reading", "lost", "reading"]
    volts = {event.volts for event in of_kind(tmp_path / "j.jsonl", BatterySampled)}
    assert {12.85, 12.31} <= volts
    assert verify(tmp_path / "j.jsonl").sound


def test_a_shunt_that_is_not_there(tmp_path: Path):
    """One line, one event, and it is found when it comes."""
    port = PtyPort(tmp_path / "late")
    with start(tmp_path, port.url) as hill:
        hill.wait_for(lambda: "plug it in" in pane(hill))
        assert "no shunt" in pane(hill)
        log(hill, "KD7QSV")
        with port, Sender(port, frame(13.05, -0.44)):
            hill.wait_for(lambda: shows(hill.text.splitlines(), "13.05"))
            leave(hill)
    assert conditions(tmp_path) == ["absent", "reading"]
    assert len(of_kind(tmp_path / "j.jsonl", ContactLogged)) == 1


def test_a_port_in_use(tmp_path: Path):
    """Another program has it: said once, and read as soon as it is free."""
    with PtyPort(tmp_path / "shunt") as port:
        with serial.Serial(port.device, exclusive=True), start(tmp_path, port.url) as hill:
            hill.wait_for(lambda: "in use by another program: close that one" in pane(hill))
            log(hill, "KD7QSV")
            leave(hill)
        assert conditions(tmp_path) == ["busy"]
    assert len(of_kind(tmp_path / "j.jsonl", ContactLogged)) == 1


def test_a_port_without_permission(tmp_path: Path):
    """Said with the remedy, once."""
    with PtyPort(tmp_path / "shunt") as port:
        if os.getuid() == 0:
            os.chown(port.device, NOBODY, NOBODY)
            Path(port.device).chmod(0o600)
        else:
            Path(port.device).chmod(0)
        with start(tmp_path, port.url, humble=True) as hill:
            hill.wait_for(lambda: "no permission" in pane(hill))
            hill.wait_for(lambda: "sudo usermod -aG" in pane(hill))
            log(hill, "KD7QSV")
            leave(hill)
    assert conditions(tmp_path) == ["denied"]
    assert len(of_kind(tmp_path / "j.jsonl", ContactLogged)) == 1


@pytest.mark.parametrize("url", ["/dev/null", "nowhere://x"])
def test_an_address_that_is_no_port(url: str, tmp_path: Path):
    """Said at once, with what would be one."""
    with start(tmp_path, url) as hill:
        hill.wait_for(lambda: "is not a serial port" in pane(hill))
        log(hill, "KD7QSV")
        leave(hill)
    assert conditions(tmp_path) == ["bad_address"]


def test_bytes_that_make_no_sense(tmp_path: Path):
    """A wrong speed looks like this: one line about the speed, and typing goes on."""
    noise = random.Random(7)
    with (
        PtyPort(tmp_path / "shunt") as port,
        start(tmp_path, port.url) as hill,
        Sender(port, lambda: bytes(noise.randrange(128, 256) for _ in range(200)), seconds=0.05),
    ):
        hill.wait_for(lambda: "check the speed (19200)" in pane(hill))
        log(hill, "KD7QSV")
        leave(hill)
    assert conditions(tmp_path) == ["wrong_speed"]
    assert len(of_kind(tmp_path / "j.jsonl", ContactLogged)) == 1


def test_an_over_is_seen_in_the_current(tmp_path: Path):
    """Six amps more: `sending` on the pane, both edges in the journal, and the call is asked for in ten minutes."""
    amps = [-0.44]
    with (
        PtyPort(tmp_path / "shunt") as port,
        start(tmp_path, port.url) as hill,
        Sender(port, lambda: frame(12.85, amps[0])),
    ):
        hill.wait_for(lambda: "resting" in pane(hill))
        hill.wait_for(lambda: len(of_kind(tmp_path / "j.jsonl", BatterySampled)) >= 1)
        amps[0] = -6.9
        hill.wait_for(lambda: "sending" in pane(hill))
        hill.wait_for(lambda: "sending" in hill.text.replace("V sending", ""))  # on the other pane too
        amps[0] = -0.44
        hill.wait_for(lambda: "resting" in pane(hill))
        hill.wait_for("left")
        leave(hill)
    (started,), (ended,) = (
        of_kind(tmp_path / "j.jsonl", TransmissionStarted),
        of_kind(tmp_path / "j.jsonl", TransmissionEnded),
    )
    assert started.source == ended.source == "shunt"
    assert started.mono_seconds is not None
    assert ended.mono_seconds is not None
    assert ended.mono_seconds > started.mono_seconds
