"""`fieldtui station` as a person and a script meet it: real files, real processes, a real terminal for questions."""

from __future__ import annotations

import argparse
import json
import os
import pty
import select
import subprocess
import sys
import time
import tomllib
from pathlib import Path

import pytest

from fieldtui.cli import station as command
from fieldtui.station.settings import SETTINGS

# The command alone, without the program around it.
SNIPPET = (
    "import argparse, sys; from fieldtui.cli import station; "
    "parser = argparse.ArgumentParser(prog='station'); station.configure(parser); "
    "sys.exit(station.run(parser.parse_args()))"
)


@pytest.fixture
def file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A place for a station file, named by the environment; its folder is not there yet."""
    path = tmp_path / "config" / "station.toml"
    monkeypatch.setenv("FIELDTUI_STATION", str(path))
    return path


def run(*words: str) -> int:
    parser = argparse.ArgumentParser(prog="fieldtui station")
    command.configure(parser)
    # Never a question here: pytest may run on a terminal of its own.
    quiet = ("--no-questions",) if words[0] == "init" else ()
    return command.run(parser.parse_args((*words, *quiet)))


def process(*words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-c", SNIPPET, *words], capture_output=True, text=True, stdin=subprocess.DEVNULL
    )


def one_line(text: str) -> str:
    """The error, which is one line."""
    assert text.count("\n") == 1
    return text


def test_options_write_a_file_that_reads_back(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    written = run(
        "init", "--call", "kd7qsv", "--locator", "cn94HB", "--licence", "Technician", "--rule", "us",
        "--shunt", "/dev/ttyUSB0", "--watts", "5", "--place", "Larkspur Flat", "--name", 'Rosa "R"', "--bell", "no",
    )  # fmt: skip
    assert written == 0
    assert str(file) in capsys.readouterr().out
    assert run("show", "--json") == 0
    told = json.loads(capsys.readouterr().out)
    assert told["path"] == str(file)
    assert told["operator"] == {
        "call": "KD7QSV", "operator_call": None, "name": 'Rosa "R"', "licence": "technician", "rule": "us",
        "interval_minutes": None, "region": None,
    }  # fmt: skip
    assert told["place"] == {"locator": "CN94hb", "name": "Larkspur Flat"}
    assert (told["radio"]["watts"], told["feeds"]["shunt"]) == (5.0, "/dev/ttyUSB0")
    assert (told["screen"]["bell"], told["screen"]["keys"]) == (False, {})
    assert run("check") == 0
    assert "nothing wrong" in capsys.readouterr().out


def test_every_key_has_an_option_that_takes_its_example(file: Path) -> None:
    """All examples together make a file without a problem, but for the plan that is not there."""
    words = [word for each in SETTINGS for word in (each.flag, each.example.strip('"'))]
    assert run("init", *words) == 0
    told = tomllib.loads(file.read_text())
    assert all(setting.key in told[setting.section] for setting in SETTINGS)


def test_without_options_and_a_terminal_a_file_of_examples_is_written(file: Path) -> None:
    done = process("init")
    assert (done.returncode, done.stderr) == (0, "")
    text = file.read_text()
    assert tomllib.loads(text)["operator"] == {}
    assert '# call = "KD7QSV"' in text


def test_a_file_that_is_there_stays(file: Path) -> None:
    file.parent.mkdir()
    file.write_text("# mine\n")
    done = process("init", "--call", "KD7QSV")
    assert done.returncode == 2
    assert "--force" in one_line(done.stderr)
    assert file.read_text() == "# mine\n"


def test_force_keeps_the_earlier_file_beside_the_new_one(file: Path) -> None:
    file.parent.mkdir()
    file.write_text("# mine\n")
    done = process("init", "--force", "--call", "W0QSL")
    assert done.returncode == 0
    assert "station.toml.before-1" in done.stdout
    assert (file.parent / "station.toml.before-1").read_text() == "# mine\n"
    assert tomllib.loads(file.read_text())["operator"]["call"] == "W0QSL"
    assert sorted(each.name for each in file.parent.iterdir()) == ["station.toml", "station.toml.before-1"]


def test_a_link_to_a_file_elsewhere_stays_a_link(file: Path, tmp_path: Path) -> None:
    """People keep their settings in another folder and link to them."""
    target = tmp_path / "kept.toml"
    target.write_text("# mine\n")
    file.parent.mkdir()
    file.symlink_to(target)
    assert run("init", "--force", "--call", "W0QSL") == 0
    assert file.is_symlink()
    assert "W0QSL" in target.read_text()


@pytest.mark.parametrize(
    ("words", "what"),
    [
        (("--call", "nobody"), '--call: "nobody" is not a call sign'),
        (("--watts", "5,5"), "5.5"),
        (("--watts", "-5"), "--watts: -5 is out of range"),
        (("--licence", "techncian"), "perhaps technician"),
        (("--interval-minutes", "20"), "600 s"),
        (("--transmit-amps", "0.2", "--receive-amps", "0.3"), "not above"),
        (("--place", "\x1b[2J" * 30), "at most 60"),
    ],
)
def test_a_bad_option_is_one_line_and_nothing_is_written(
    file: Path, words: tuple[str, ...], what: str
) -> None:
    done = process("init", *words)
    assert done.returncode == 2
    assert what in one_line(done.stderr)
    assert "\x1b" not in done.stderr
    assert not file.exists()


def test_a_folder_that_cannot_be_made_is_one_line(tmp_path: Path) -> None:
    (tmp_path / "plain").write_text("")
    done = process("init", "--station", str(tmp_path / "plain" / "station.toml"))
    assert done.returncode == 2
    assert "--station" in one_line(done.stderr)


@pytest.mark.parametrize("deed", ["show", "check"])
def test_no_file_is_one_line_that_says_how_to_get_one(file: Path, deed: str) -> None:
    done = process(deed)
    assert done.returncode == 2
    assert "station init" in one_line(done.stderr)
    assert done.stdout == ""


def test_a_file_that_never_ends_is_not_read(tmp_path: Path) -> None:
    """A device or a pipe in the place of a file neither blocks nor fills the memory."""
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    for name in (str(pipe), "/dev/zero"):
        done = process("check", "--station", name)
        assert done.returncode == 2
        assert "is not a file" in one_line(done.stderr)


def test_check_tells_every_problem_with_its_line(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file.parent.mkdir()
    file.write_text('[operator]\ncal = "KD7QSV"\n[radio]\nwatts = 5,5\n[place]\nname = "Flat"\n')
    assert run("check", "--json") == 1
    told = json.loads(capsys.readouterr().out)
    assert told["sound"] is False
    assert [(each["file"], each["line"]) for each in told["problems"]] == [
        ("station.toml", 2),
        ("station.toml", 4),
    ]
    assert "perhaps call" in told["problems"][0]["what"]
    assert run("check") == 1
    assert "station.toml line 2: " in capsys.readouterr().out
    assert run("show", "--json") == 0
    shown = capsys.readouterr()
    assert json.loads(shown.out)["place"]["name"] == "Flat"
    assert "2 problems" in one_line(shown.err)


def test_check_reads_the_plan_that_the_file_names(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file.parent.mkdir()
    file.write_text('[screen]\nchannels = "trip.csv"\n')
    assert run("check", "--json") == 1
    assert "trip.csv" in json.loads(capsys.readouterr().out)["problems"][0]["what"]
    (file.parent / "trip.csv").write_text("receive,tone\n146.52,\n146.94,88.4\n")
    assert run("check", "--json") == 1
    (problem,) = json.loads(capsys.readouterr().out)["problems"]
    assert (problem["file"], problem["line"]) == ("trip.csv", 3)
    assert "88.5" in problem["what"]
    (file.parent / "trip.csv").write_text("receive,tone\n146.52,\n146.94,88.5\n")
    assert run("check") == 0


def test_a_sound_file_is_sound_in_json(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    run("init", "--call", "KD7QSV")
    capsys.readouterr()
    assert run("check", "--json") == 0
    told = {"path": str(file), "sound": True, "problems": [], "cautions": []}
    assert json.loads(capsys.readouterr().out) == told


def test_a_shown_file_is_plain_when_piped(file: Path) -> None:
    """No colour, no markup: a value that looks like markup is shown as it stands."""
    run("init", "--call", "KD7QSV", "--name", "[bold]Rosa[/bold]")
    done = process("show")
    assert done.returncode == 0
    assert "\x1b" not in done.stdout
    assert "[bold]Rosa[/bold]" in done.stdout
    assert "KD7QSV" in done.stdout


class Terminal:
    """A process on a pseudo-terminal, spoken to as a person would."""

    def __init__(self, *words: str) -> None:
        self.master, slave = pty.openpty()
        self.process = subprocess.Popen(
            [sys.executable, "-c", SNIPPET, *words], stdin=slave, stdout=slave, stderr=slave
        )
        os.close(slave)
        self.seen = ""

    def answer(self, question: str, keys: str) -> None:
        """Wait for a question, then type."""
        self.wait_for(question)
        self.seen = ""
        os.write(self.master, keys.encode())

    def wait_for(self, words: str) -> None:
        until = time.monotonic() + 20
        while words not in self.seen:
            assert time.monotonic() < until, self.seen
            if select.select([self.master], [], [], 0.2)[0]:
                self.seen += os.read(self.master, 4096).decode()

    def end(self) -> int:
        code = self.process.wait(timeout=20)
        os.close(self.master)
        return code


def test_questions_are_asked_on_a_terminal_and_bad_answers_again(file: Path) -> None:
    """Options are not asked for; an empty answer leaves a key out; which way the shunt counts follows its port."""
    terminal = Terminal("init", "--licence", "general", "--watts", "5")
    terminal.answer("Call sign of the station: ", "nobody\n")
    terminal.answer("not a call sign", "kd7qsv\n")
    terminal.answer("Rule for giving", "\n")
    terminal.answer("Locator", "cn94\n")
    terminal.answer("chemistry", "lfp\n")
    terminal.answer("Cells", "4\n")
    terminal.answer("ampere-hours", "20\n")
    terminal.answer("shunt: ", "/dev/ttyUSB0\n")
    terminal.answer("positive", "charge\n")
    terminal.wait_for("wrote ")
    assert terminal.end() == 0
    told = tomllib.loads(file.read_text())
    assert told["operator"] == {"call": "KD7QSV", "licence": "general"}
    assert told["place"] == {"locator": "CN94"}
    assert told["radio"] == {"watts": 5}
    assert told["pack"] == {"chemistry": "lifepo4", "cells": 4, "amp_hours": 20}
    assert told["feeds"] == {"shunt": "/dev/ttyUSB0", "amps_positive_is": "charge"}


def test_answers_that_end_write_nothing(file: Path) -> None:
    terminal = Terminal("init")
    terminal.answer("Call sign of the station: ", "kd7qsv\n")
    terminal.answer("Licence", "\x04")
    terminal.wait_for("nothing was written")
    assert terminal.end() == 1
    assert not file.exists()


def test_no_questions_asks_nothing_on_a_terminal(file: Path) -> None:
    terminal = Terminal("init", "--no-questions", "--call", "KD7QSV")
    terminal.wait_for("wrote ")
    assert terminal.end() == 0
    assert tomllib.loads(file.read_text())["operator"] == {"call": "KD7QSV"}


def checked_text(
    file: Path, text: str, capsys: pytest.CaptureFixture[str]
) -> tuple[int, list[str], list[str]]:
    """The exit code of `check`, what is wrong, and the cautions."""
    file.parent.mkdir(exist_ok=True)
    file.write_text(text)
    code = run("check", "--json")
    told = json.loads(capsys.readouterr().out)
    return code, [each["what"] for each in told["problems"]], told["cautions"]


@pytest.mark.parametrize(
    ("text", "sections"),
    [
        ('[feeds]\nshunt = "/dev/null"\npacket = "/dev/null"\n', "feeds.shunt and feeds.packet"),
        ('[feeds]\npacket = "{link}"\n[modbus]\nport = "/dev/null"\nvolts = "0 u16"\n', "feeds.packet and modbus.port"),
        ('[feeds]\ngps = "socket://LOCALHOST:7531"\npacket = "rfc2217://127.0.0.1:7531"\n', "feeds.gps and feeds.packet"),
        ('[feeds]\ncharger = "gpsd://hill"\ngps = "socket://hill.:2947"\n', "feeds.charger and feeds.gps"),
        ('[feeds]\nshunt = "/nowhere/a/../b"\ncharger = "/nowhere/b"\n', "feeds.shunt and feeds.charger"),
    ],
)  # fmt: skip
def test_one_port_for_two_sections_is_refused(
    file: Path, tmp_path: Path, text: str, sections: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Under whatever names: a link, another spelling, another scheme."""
    (tmp_path / "by-id").symlink_to("/dev/null")
    code, (problem,), _ = checked_text(file, text.format(link=tmp_path / "by-id"), capsys)
    assert code == 1
    assert problem.startswith(f"{sections} name one port")
    assert f"{sections.rsplit(maxsplit=1)[-1]} is not opened" in problem


def test_a_port_of_its_own_for_each_is_sound(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = (
        '[feeds]\nshunt = "socket://hill:7531"\npacket = "socket://hill:7532"\ngps = "socket://knoll:7531"\n'
    )
    assert checked_text(file, text, capsys) == (0, [], [])


@pytest.mark.parametrize(
    ("text", "caution"),
    [
        ('[feeds]\nshunt = "/dev/ttyUSB7"\n', "feeds.shunt: /dev/ttyUSB7 may be another device after a replug"),
        ('[feeds]\ngps = "/dev/ttyACM7"\n', "feeds.gps: /dev/ttyACM7 may be another"),
        ('[feeds]\nshunt_lines = "both"\n', "feeds.shunt_lines: DTR and RTS are raised"),
        ('[packet]\nlines = "rts"\n', "packet.lines: RTS is raised"),
        ('[modbus]\nport = "/dev/x"\nvolts = "192 u16"\nno_modem = true\n', "register 192 holds C0"),
    ],
)  # fmt: skip
def test_what_is_allowed_and_to_be_known_is_told(
    file: Path, text: str, caution: str, capsys: pytest.CaptureFixture[str]
) -> None:
    code, problems, (told,) = checked_text(file, text, capsys)
    assert (code, problems) == (0, [])
    assert caution in told
    assert run("check") == 0
    assert f"CAUTION: {told}" in capsys.readouterr().out


def test_a_question_that_a_modem_would_send_is_named(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, (problem,), _ = checked_text(file, '[modbus]\nport = "/dev/x"\nvolts = "192 u16"\n', capsys)
    assert code == 1
    assert "register 192 holds C0" in problem
    assert "modbus.no_modem = true" in problem


@pytest.mark.parametrize("keys", ['packets-position = "y"', 'packets = "y"', 'packets-message = "f2"'])
def test_a_key_that_could_send_by_chance_is_named(
    file: Path, keys: str, capsys: pytest.CaptureFixture[str]
) -> None:
    code, (problem,), _ = checked_text(file, f"[screen.keys]\n{keys}\n", capsys)
    assert code == 1
    assert problem.startswith("screen.keys: key ")
