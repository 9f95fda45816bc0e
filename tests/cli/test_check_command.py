"""`fieldtui check` before leaving home: what is missing is said, with the remedy and exit code 1."""

from __future__ import annotations

import os
import socket
import stat
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from fieldtui.cli.check.disk import disk_findings, file_system
from fieldtui.cli.check.findings import Finding, State
from fieldtui.cli.check.machine import machine_findings, need_words
from fieldtui.journal.events import SessionOpened
from fieldtui.journal.file import Draft, Journal
from fieldtui.journal.stamp import Stamp
from tests.support.terminal import Terminal, fieldtui

STATION = '[operator]\ncall = "KD7QSV"\n[pack]\nchemistry = "lifepo4"\ncells = 4\namp_hours = 12\n'


@pytest.fixture
def station(tmp_path: Path):
    """Write a station file and name it."""

    def write(text: str = STATION) -> Path:
        path = tmp_path / "station.toml"
        path.write_text(text)
        return path

    return write


@pytest.fixture
def checked(run, tmp_path):
    """Check with this station file; what was found, by name."""

    def check(path: Path, *, code: int, **environment: str):
        done = run(
            "check", "--json", "--station", path, **{"FIELDTUI_JOURNALS": str(tmp_path / "j"), **environment}
        )
        assert done.code == code, done.out
        told = done.object
        assert told["ready"] == (code == 0)
        for row in told["checks"]:
            assert row["state"] in ("ok", "look", "missing")
            assert row["do"] or row["state"] == "ok", row
        return {row["name"]: row for row in told["checks"]}

    return check


def by_name(findings) -> dict[str, Finding]:
    return {finding.name: finding for finding in findings}


def test_all_is_well(checked, station):
    found = checked(station(), code=0)
    assert found["station file"]["state"] == found["journals"]["state"] == found["packages"]["state"] == "ok"
    assert found["call sign"]["what"] == "KD7QSV"


def test_people_get_lines_and_a_sum(run, station, tmp_path):
    done = run(
        "check", "--station", station(STATION.replace("12\n", '"many"\n')), FIELDTUI_JOURNALS=str(tmp_path)
    )
    assert done.code == 1
    assert done.err == ""
    (line,) = (line for line in done.out.splitlines() if line.startswith("missing"))
    assert "line 6" in line
    assert "- fieldtui station check\n" in done.out
    assert done.out.splitlines()[-1].startswith("1 missing, ")


def test_without_a_station_file_one_can_go(run, tmp_path):
    done = run("check", "--json", FIELDTUI_JOURNALS=str(tmp_path))
    assert done.code == 0
    assert {"name": "station file", "state": "look"}.items() <= done.object["checks"][0].items()


def test_a_station_file_that_was_named_has_to_be_there(checked, tmp_path):
    assert checked(tmp_path / "nothing.toml", code=1)["station file"]["state"] == "missing"


def test_a_port_that_is_not_plugged_in(checked, station):
    found = checked(station(f'{STATION}[feeds]\nshunt = "/dev/serial/by-id/no-such-shunt"\n'), code=1)
    assert found["battery shunt"]["state"] == "missing"
    assert "plug it in" in found["battery shunt"]["do"]


def test_a_port_without_the_right_to_use_it_names_the_group(run, station, tmp_path):
    """In a terminal of a user without root's rights."""
    master, slave = os.openpty()
    name = os.ttyname(slave)
    before = os.stat(name)
    try:
        os.chmod(name, 0)
        path = station(f'{STATION}[feeds]\nshunt = "{name}"\n')
        environment = {"FIELDTUI_JOURNALS": str(tmp_path), "HOME": str(tmp_path)}
        with Terminal(
            fieldtui("check", "--station", path), humble=True, rows=50, columns=100, environment=environment
        ) as told:
            told.wait_after_end("no permission for")
            assert "sudo usermod -aG" in told.text
            assert told.wait_end() == 1
    finally:
        os.chmod(name, stat.S_IMODE(before.st_mode))
        os.close(master)
        os.close(slave)


def test_a_port_that_is_there_is_well(checked, station):
    master, slave = os.openpty()
    try:
        found = checked(station(f'{STATION}[feeds]\ngps = "{os.ttyname(slave)}"\n'), code=0)
        assert found["position receiver"]["state"] == "ok"
    finally:
        os.close(master)
        os.close(slave)


def test_what_is_no_port_is_told(checked, station, tmp_path):
    (tmp_path / "file").touch()
    found = checked(station(f'{STATION}[feeds]\nshunt = "{tmp_path / "file"}"\n'), code=1)
    assert "is not a serial port" in found["battery shunt"]["what"]


@pytest.mark.parametrize(
    ("section", "name"),
    [
        ('[feeds]\ncharger = "PORT"\n', "charger's meter"),
        ('[modbus]\nport = "PORT"\nrole = "charger"\nvolts = "0 u16 0.001"\n', "Modbus meter"),
    ],
)
def test_a_charger_and_a_modbus_meter_are_looked_for_where_they_are_named(checked, station, section, name):
    master, slave = os.openpty()
    try:
        found = checked(station(STATION + section.replace("PORT", os.ttyname(slave))), code=0)
        assert found[name]["state"] == "ok"
        assert found["battery shunt"]["state"] == "look"
    finally:
        os.close(master)
        os.close(slave)
    found = checked(station(STATION + section.replace("PORT", "/dev/serial/by-id/no-such")), code=1)
    assert found[name]["state"] == "missing"
    assert "plug it in" in found[name]["do"]
    assert name not in checked(station(), code=0), "few have one: nothing is said where none is named"


def test_a_modbus_meter_of_the_pack_stands_in_for_the_shunt(checked, station):
    with socket.create_server(("127.0.0.1", 0)) as other:
        url = f"socket://127.0.0.1:{other.getsockname()[1]}"
        found = checked(station(f'{STATION}[modbus]\nport = "{url}"\nvolts = "0 u16 0.001"\n'), code=0)
    assert found["Modbus meter"]["state"] == "ok"
    assert "battery shunt" not in found


@pytest.mark.parametrize("half", ['port = "/dev/ttyUSB1"', 'volts = "0 u16 0.001"'])
def test_half_a_modbus_meter_is_told(checked, station, half):
    """Nothing would be asked, and the screen would only say that there is no shunt."""
    assert checked(station(f"{STATION}[modbus]\n{half}\n"), code=1)["Modbus meter"]["state"] == "missing"


def test_a_feed_over_the_network_is_called(checked, station):
    with socket.create_server(("127.0.0.1", 0)) as other:
        path = station(f'{STATION}[feeds]\npacket = "socket://127.0.0.1:{other.getsockname()[1]}"\n')
        assert checked(path, code=0)["packet receiver"]["state"] == "ok"
    assert checked(path, code=1)["packet receiver"]["what"].startswith("no answer")


def test_a_frequency_plan_that_cannot_be_read(checked, station, tmp_path):
    path = station(f'{STATION}[screen]\nchannels = "plan.toml"\n')
    assert checked(path, code=1)["channels"]["state"] == "missing"
    (tmp_path / "plan.toml").write_text("[[channel]]\nname = 'Ridge'\nfrequency = 'high'\n")
    assert checked(path, code=1)["channels"]["state"] == "missing"


def test_a_folder_that_cannot_be_written(checked, station):
    found = checked(station(), code=1, FIELDTUI_JOURNALS="/proc/self/journals")
    assert found["journals"]["state"] == "missing"
    assert "FIELDTUI_JOURNALS" in found["journals"]["do"]


def test_journals_in_memory_are_lost_at_power_off(tmp_path):
    mounts = tmp_path / "mountinfo"
    lines = (
        "22 1 8:1 / / rw shared:1 - ext4 /dev/root rw",
        "23 22 0:5 / /run rw - tmpfs tmpfs rw",
        "24 22 8:2 / /media/old\\040card rw master:2 shared:9 - vfat /dev/sdb1 rw",
        f"25 22 0:9 / {tmp_path} rw - tmpfs tmpfs rw",
        f"26 22 0:9 / {tmp_path}-2 rw - ext4 tmpfs rw",
        "not a line",
    )
    mounts.write_text("\n".join(lines))
    assert file_system(Path("/home/x"), mounts) == "ext4"
    assert file_system(Path("/running"), mounts) == "ext4"
    assert file_system(Path("/run/user/1"), mounts) == "tmpfs"
    assert file_system(Path("/media/old card/a"), mounts) == "vfat"
    found = by_name(disk_findings(tmp_path / "journals", mounts))
    assert found["file system"].state is State.MISSING
    assert "power-off" in found["file system"].what
    assert file_system(Path("/x"), tmp_path / "none") is None


def test_this_machine_tells_what_holds_the_journals():
    assert file_system(Path("/proc/self")) == "proc"


def test_a_session_that_waits_is_named(tmp_path, run):
    journal = tmp_path / "2026-06-14-1650-ridge.jsonl"
    run("add", journal, "kd7qsv 59 57")
    found = by_name(disk_findings(tmp_path))["session"]
    assert found.state is State.LOOK
    assert "goes on with it" in found.what
    run("add", journal, "done")
    assert by_name(disk_findings(tmp_path))["session"].state is State.OK


def test_a_session_of_last_week_is_named_with_the_way_back_into_it(tmp_path):
    journal, week_ago = tmp_path / "2026-06-14-1650-ridge.jsonl", datetime.now(UTC) - timedelta(days=7)
    with Journal(journal) as file:
        file.append([Draft(Stamp(week_ago, 60.0, "a boot"), SessionOpened(program="fieldtui test"))])
    found = by_name(disk_findings(tmp_path))["session"]
    assert "168.0 h ago" in found.what
    assert f"--journal {journal.name}" in found.do


@pytest.mark.parametrize(("year", "state"), [(1970, State.MISSING), (2024, State.MISSING), (2026, State.OK)])
def test_a_clock_that_says_long_past_is_no_clock(year, state, tmp_path, monkeypatch):
    monkeypatch.setenv("FIELDTUI_JOURNALS", str(tmp_path))
    now = datetime(year, 6, 14, tzinfo=UTC).timestamp()
    assert by_name(machine_findings(now))["time"].state is state


def test_a_clock_before_the_last_line_is_wrong(tmp_path, monkeypatch, run):
    monkeypatch.setenv("FIELDTUI_JOURNALS", str(tmp_path))
    run("add", tmp_path / "2026-06-14-1650-ridge.jsonl", "kd7qsv 59 57")
    assert by_name(machine_findings(time.time() - 3600))["time"].state is State.MISSING


def test_an_import_does_not_hide_a_session_that_was_written_later(tmp_path, monkeypatch):
    """By name an import comes after every session, whenever it was made."""
    monkeypatch.setenv("FIELDTUI_JOURNALS", str(tmp_path))
    for name, written in (
        ("2026-06-14-1650-ridge.jsonl", 7200.0),
        ("imported-2026-06-01-0900-old.jsonl", 60.0),
    ):
        (tmp_path / name).touch()
        os.utime(tmp_path / name, (written, written + datetime(2026, 6, 14, tzinfo=UTC).timestamp()))
    found = by_name(machine_findings(datetime(2026, 6, 14, 1, tzinfo=UTC).timestamp()))["time"]
    assert found.state is State.MISSING
    assert "2026-06-14-1650-ridge.jsonl" in found.what


def test_a_clock_chip_is_looked_for(tmp_path):
    assert by_name(machine_findings(chips=tmp_path))["clock chip"].state is State.LOOK
    (tmp_path / "rtc0").mkdir()
    assert by_name(machine_findings(chips=tmp_path))["clock chip"].state is State.OK


@pytest.mark.parametrize(
    ("moment", "state"), [((2026, 1), State.OK), ((2029, 10), State.LOOK), ((2031, 1), State.LOOK)]
)
def test_the_compass_table_ends_with_2029(moment: tuple[int, int], state: State) -> None:
    """The World Magnetic Model 2025 is valid from 2025.0 to 2030.0 (NOAA NCEI, WMM2025 technical report)."""
    year, month = moment
    now = datetime(year, month, 1, tzinfo=UTC).timestamp()
    assert by_name(machine_findings(now))["compass table"].state is state


@pytest.mark.parametrize(
    ("need", "words"),
    [
        ("pytest>=1.0", ""),
        ("pytest", ""),
        ("pytest>=999", "has to be >=999"),
        ("pytest<1,>=0.1", "has to be <1"),
        ("no-such-package>=1", "is not there"),
        ('no-such-package>=1; extra == "browser"', ""),
    ],
)
def test_a_package_is_there_and_new_enough(need, words):
    assert words in need_words(need)
    assert bool(words) == bool(need_words(need))


def test_a_small_terminal_without_utf8_is_worth_a_look(tmp_path):
    environment = {
        "LANG": "C",
        "LC_ALL": "POSIX",
        "PYTHONUTF8": "0",
        "PYTHONCOERCECLOCALE": "0",
        "HOME": str(tmp_path),
    }
    with Terminal(fieldtui("check"), columns=50, rows=60, term="vt100", environment=environment) as told:
        told.wait_after_end("worth a look")
        assert told.wait_end() == 0
        assert "50x60 is smaller than 60x20" in told.text.replace("\n", "")
        assert "export LANG=C.UTF-8" in told.text
        assert "vt100, sixteen colours" in told.text


def test_a_terminal_that_is_none_cannot_draw_the_screen(tmp_path):
    with Terminal(
        fieldtui("check"), columns=100, rows=60, term="dumb", environment={"HOME": str(tmp_path)}
    ) as told:
        told.wait_after_end("1 missing")
        assert told.wait_end() == 1
        assert "export TERM=" in told.text


def test_a_folder_of_journals_that_cannot_be_looked_into_is_a_finding_like_others(checked, station, tmp_path):
    found = checked(station(), code=1, FIELDTUI_JOURNALS=str(tmp_path / ("x" * 300)))
    assert found["journals"]["state"] == "missing"
    assert "too long" in found["journals"]["what"]
    assert found["time"]["state"] == "ok"


def test_the_tiles_of_the_station_file_are_looked_for(checked, station, tmp_path):
    named = f'{STATION}[terrain]\nfolder = "tiles"\n'
    assert checked(station(named), code=1)["terrain"]["what"].endswith("is not a folder that can be read")
    (tmp_path / "tiles").mkdir()
    assert checked(station(named), code=1)["terrain"]["what"].endswith("has no elevation tiles")
    (tmp_path / "tiles/N44W122.hgt").touch()
    assert checked(station(named), code=0)["terrain"]["what"].endswith("tiles: 1 tile")
