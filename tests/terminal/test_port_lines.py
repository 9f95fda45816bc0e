"""DTR and RTS are down while a port is open: seen in the ioctls that the real program makes.

A pseudo-terminal refuses the ioctls of modem lines, and the port library gives up after the first refusal. So they
are answered here as a kernel with such lines would; everything else is real. Which ones the library makes on a line
of this machine was also seen with strace.
"""

from __future__ import annotations

import json
import os
import struct
import subprocess
import sys
import termios
from contextlib import ExitStack
from pathlib import Path

import pytest

from tests.support.far_end import FarEnd
from tests.support.terminal import Terminal

TOLD = """
import fcntl, json, os, sys
asked = {names}
told = open(os.environ["TOLD"], "a", buffering=1)
real = fcntl.ioctl
def ioctl(descriptor, request, *rest):
    if request not in asked:
        return real(descriptor, request, *rest)
    told.write(json.dumps([os.ttyname(descriptor), asked[request], rest[0].hex()]) + chr(10))
    return 0
fcntl.ioctl = ioctl
from fieldtui.cli.main import main
sys.exit(main(sys.argv[1:]))
"""
NAMES = {termios.TIOCMBIS: "up", termios.TIOCMBIC: "down", termios.TIOCMSET: "set"}
DTR, RTS = (struct.pack("I", line).hex() for line in (termios.TIOCM_DTR, termios.TIOCM_RTS))


class Traced:
    """The real program, with every change of a modem line written to a file."""

    def __init__(self, folder: Path) -> None:
        self._told = folder / "lines.jsonl"
        self._program = TOLD.replace("{names}", repr(NAMES))
        self.environment = {
            **os.environ,
            "TOLD": str(self._told),
            "FIELDTUI_JOURNALS": str(folder / "journals"),
        }

    def command(self, *words: object) -> list[str]:
        return [sys.executable, "-c", self._program, *map(str, words)]

    def lines(self, port: str) -> list[tuple[str, str]]:
        """What was done with the modem lines of a port, in order."""
        if not self._told.exists():
            return []
        told = [json.loads(line) for line in self._told.read_text().splitlines()]
        return [(way, {DTR: "dtr", RTS: "rts"}.get(line, line)) for name, way, line in told if name == port]


@pytest.fixture
def traced(tmp_path: Path) -> Traced:
    return Traced(tmp_path)


@pytest.mark.parametrize("kind", [[], ["--as", "battery"], ["--as", "position"], ["--as", "packet"]], ids=str)
def test_watching_a_feed_takes_both_down_and_writes_nothing(kind: list[str], traced: Traced):
    with FarEnd() as far:
        command = traced.command("feeds", "watch", far.port, *kind, "--seconds", "1")
        subprocess.run(command, env=traced.environment, capture_output=True, timeout=60, check=False)
        assert far.took == b""
        assert traced.lines(far.port) == [("down", "dtr"), ("down", "rts")]


@pytest.mark.parametrize(
    ("lines", "expected"),
    [("dtr", [("up", "dtr"), ("down", "rts")]), ("rts", [("down", "dtr"), ("up", "rts")]),
     ("both", [("up", "dtr"), ("up", "rts")]), ("down", [("down", "dtr"), ("down", "rts")])],
)  # fmt: skip
def test_watching_with_lines_raised_for_a_device_that_needs_it(
    lines: str, expected: list[tuple[str, str]], traced: Traced
):
    with FarEnd() as far:
        command = traced.command("feeds", "watch", far.port, "--lines", lines, "--seconds", "1")
        subprocess.run(command, env=traced.environment, capture_output=True, timeout=60, check=False)
        assert traced.lines(far.port) == expected


SECTIONS = {
    "feeds.shunt": ("[feeds]\nshunt = {port}\n", "shunt_lines"),
    "feeds.charger": ("[feeds]\ncharger = {port}\n", "charger_lines"),
    "feeds.gps": ("[feeds]\ngps = {port}\n", "gps_lines"),
    "feeds.packet": ("[feeds]\npacket = {port}\n[packet]\n", "lines"),
    "modbus": ('[modbus]\nport = {port}\nvolts = "0 u16 0.01"\n', "lines"),
}


@pytest.mark.parametrize("raised", [False, True], ids=["as it is", "raised"])
@pytest.mark.parametrize("section", SECTIONS)
def test_each_section_of_the_station_file(section: str, raised: bool, traced: Traced, tmp_path: Path):
    text, key = SECTIONS[section]
    with FarEnd() as far:
        station = tmp_path / "station.toml"
        station.write_text(text.format(port=json.dumps(far.port)) + (f'{key} = "both"\n' if raised else ""))
        command = traced.command("session", "--station", station, "--journal", tmp_path / "j.jsonl")
        with Terminal(command, environment=traced.environment) as hill:
            hill.wait_for(lambda: len(traced.lines(far.port)) >= 2)
        way = "up" if raised else "down"
        assert traced.lines(far.port) == [(way, "dtr"), (way, "rts")]


def test_what_the_file_raises_for_its_own_port_is_raised_for_no_other(traced: Traced, tmp_path: Path):
    with ExitStack() as stack:
        own, *others = (stack.enter_context(FarEnd()) for _ in range(4))
        station = tmp_path / "station.toml"
        station.write_text(
            f'[feeds]\nshunt = "{own.port}"\ngps = "{own.port}"\npacket = "{own.port}"\n'
            'shunt_lines = "both"\ngps_lines = "both"\n[packet]\nlines = "both"\n'
        )
        words = ("--shunt", others[0].port, "--gps", others[1].port, "--packet", others[2].port)
        command = traced.command("session", "--station", station, "--journal", tmp_path / "j.jsonl", *words)
        with Terminal(command, environment=traced.environment) as hill:
            hill.wait_for(lambda: all(len(traced.lines(other.port)) >= 2 for other in others))
        for other in others:
            assert traced.lines(other.port) == [("down", "dtr"), ("down", "rts")]


@pytest.mark.parametrize(
    "words", [["feeds", "list"], ["check"], ["station", "check"], ["station", "show"]], ids=str
)
def test_what_only_looks_opens_no_port(words: list[str], traced: Traced, tmp_path: Path):
    with FarEnd() as far:
        station = tmp_path / "station.toml"
        station.write_text(f'[feeds]\nshunt = "{far.port}"\npacket = "{far.port}"\n')
        own = [] if words[0] == "feeds" else ["--station", station]
        done = subprocess.run(
            traced.command(*words, *own), env=traced.environment, capture_output=True, timeout=60, check=False
        )
        assert done.returncode in (0, 1), done.stderr
        assert traced.lines(far.port) == []
        assert far.took == b""
