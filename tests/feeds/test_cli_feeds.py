"""`fieldtui feeds` as people and scripts call it."""

from __future__ import annotations

import json
import signal
import subprocess
import sys
import threading
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta

import pytest

from fieldtui.cli.main import main
from fieldtui.demo.virtual_port import PtyPort
from fieldtui.feeds.label_frames import encode_label_frame

FRAME = encode_label_frame([("V", "12846"), ("I", "-250"), ("CE", "-1520"), ("SOC", "952")])
BAD_FRAME = FRAME[:-1] + b"?"
KEYS = ["at", "kind", "volts", "amps", "watts", "amp_hours", "charge_percent"]


@pytest.fixture
def sending(port: PtyPort) -> Iterator[PtyPort]:
    """A port on which somebody sends ten times a second."""
    stop = threading.Event()

    def send() -> None:
        while not stop.wait(0.1):
            port.write(FRAME + b":7F0E\n" + BAD_FRAME)

    sender = threading.Thread(target=send)
    sender.start()
    yield port
    stop.set()
    sender.join()


def test_each_reading_is_one_object_with_the_keys_of_the_contract(sending: PtyPort, capsys):
    assert main(["feeds", "watch", sending.url, "--as", "battery", "--json", "--count", "3"]) == 0
    objects = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    readings = [each for each in objects if each["kind"] == "battery"]
    assert list(readings[0]) == KEYS
    assert readings[0] | {"at": None} == {
        "at": None,
        "kind": "battery",
        "volts": 12.846,
        "amps": -0.25,
        "watts": -3.2115,
        "amp_hours": -1.52,
        "charge_percent": 95.2,
    }
    problems = {each["what"] for each in objects if each["kind"] == "problem"}
    assert problems == {"a frame with a wrong checksum was passed over"}


def test_the_time_is_utc_in_milliseconds(sending: PtyPort, capsys):
    before = datetime.now(UTC) - timedelta(seconds=1)
    assert main(["feeds", "--json", "watch", sending.url, "--count", "1"]) == 0
    first = json.loads(capsys.readouterr().out.splitlines()[0])
    at = datetime.strptime(first["at"], "%Y-%m-%dT%H:%M:%S.%fZ").replace(tzinfo=UTC)
    assert len(first["at"]) == len("2026-06-14T17:03:22.418Z")
    assert before <= at <= datetime.now(UTC)


def test_people_get_lines_and_the_state_on_the_other_stream(sending: PtyPort, capsys):
    assert main(["feeds", "watch", sending.url, "--count", "1"]) == 0
    told = capsys.readouterr()
    assert " 12.846 V    -0.250 A     -3.21 W     -1.520 Ah   95.2 %" in told.out
    assert "\x1b" not in told.out
    assert f"the feed is read from {sending.url}" in told.err


def test_hostile_text_from_the_wire_does_not_reach_the_terminal(port: PtyPort, capsys):
    stop = threading.Event()
    hostile = b"12.8,0.1\n12.8,0.1\n\x1b]52;c;aGk=\x07,[/bold]\n"
    sender = threading.Thread(
        target=lambda: [port.write(hostile) for _ in iter(lambda: stop.wait(0.1), True)]
    )
    sender.start()
    try:
        assert main(["feeds", "watch", port.url, "--count", "9"]) == 0
    finally:
        stop.set()
        sender.join()
    told = capsys.readouterr().out
    assert "\\x1b\\x5d52;c;aGk=" in told
    assert "\x1b" not in told


def test_without_a_reading_in_the_time_it_fails(tmp_path, capsys):
    assert main(["feeds", "watch", str(tmp_path / "nothing"), "--json", "--seconds", "2"]) == 1
    told = capsys.readouterr()
    assert "plug it in" in json.loads(told.out)["what"]
    assert told.err == "fieldtui: no reading within 2 s\n"


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["watch", "nowhere://x"], "nowhere://x is not a serial port: give /dev/NAME"),
        (["watch", "gpsd://localhost", "--as", "battery"], "is a position service"),
    ],
)
def test_a_wrong_call_is_one_line_and_two(words: list[str], said: str, capsys):
    assert main(["feeds", *words]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert said in told.err.splitlines()[-1]


@pytest.mark.parametrize(
    "words",
    [
        [],
        ["watch"],
        ["watch", "x", "--baud", "0"],
        ["watch", "x", "--baud", "²"],
        ["watch", "x", "--seconds", "-1"],
        ["watch", "x", "--seconds", "nan"],
        ["watch", "x", "--count", "0"],
        ["watch", "x", "--as", "tea"],
    ],
)
def test_words_that_mean_nothing_are_refused(words: list[str], capsys):
    with pytest.raises(SystemExit) as ended:
        main(["feeds", *words])
    assert ended.value.code == 2
    assert len(capsys.readouterr().err.splitlines()) == 1


def test_the_list_is_one_object(capsys):
    assert main(["feeds", "list", "--json"]) == 0
    for port in json.loads(capsys.readouterr().out)["ports"]:
        assert list(port) == ["url", "device", "description"]


def test_the_list_for_people_names_each_port(capsys):
    assert main(["feeds", "list", "--json"]) == 0
    ports = json.loads(capsys.readouterr().out)["ports"]
    assert main(["feeds", "list"]) == 0
    told = capsys.readouterr()
    assert [line.split("  ")[0] for line in told.out.splitlines()] == [port["url"] for port in ports]
    assert bool(told.err) is not bool(ports)


def test_ctrl_c_ends_it_in_peace(sending: PtyPort):
    """A real process, interrupted after its first reading."""
    command = [sys.executable, "-m", "fieldtui", "feeds", "watch", sending.url, "--json"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        assert json.loads(process.stdout.readline())["kind"] in ("battery", "problem")
        process.send_signal(signal.SIGINT)
        _, complaints = process.communicate(timeout=30)
    assert process.returncode == 0
    assert complaints == ""


def test_watching_imports_no_screen():
    code = "import sys, fieldtui.cli.feeds, fieldtui.feeds.reader; print('textual' in sys.modules, 'rich' in sys.modules)"
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert told.stdout == "False False\n"
