"""`fieldtui plan` and `calc path`: what is taken where the call leaves something open, and what is refused."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from tests.support.planning import STATION

ON = ("CN94hb", "--on", "2026-06-14")


@pytest.fixture
def station(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, call) -> None:
    """The described station is the user's own; `call` has cleared the environment before."""
    path = tmp_path / "station.toml"
    path.write_text(STATION)
    monkeypatch.setenv("FIELDTUI_STATION", str(path))


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--charge", "101"), "a charge of 101 % is not possible"),
        (("--reserve", "-1"), "a reserve of -1 % is not possible"),
        (("--to", "Rosa=91,0"), "--to Rosa=91,0: latitude comes first"),
        (("--to", "nowhere"), "--to nowhere: a locator has"),
    ],
    ids=str,
)
def test_a_wrong_number_or_place_is_told_with_its_option(call, words: tuple[str, ...], said: str) -> None:
    done = call("plan", *ON, *words)
    assert said in done.complaint
    assert done.code == 2


def test_without_channels_reach_is_that_of_the_two_metre_calling_channel(call) -> None:
    told = call("plan", *ON, "--json").object
    assert told["reach"]["hertz"] == 146_520_000
    assert len({channel["hertz"] for channel in told["channels"]}) == len(told["channels"]) > 1


@pytest.mark.parametrize(
    ("on", "said"), [("2026-12-20", "polar night"), ("2026-06-20", "midnight sun")], ids=str
)
def test_a_day_without_sunset_is_told_once(call, on: str, said: str) -> None:
    page = call("plan", "78.2,15.6", "--on", on).out
    assert page.lower().count(said) == 1
    assert "none" not in page.split("\nChannels")[0]


def test_a_reader_that_has_seen_enough_is_no_fault_of_the_disk(environment: dict[str, str]) -> None:
    """Like `fieldtui plan | head -1`."""
    command = [sys.executable, "-m", "fieldtui", "plan", *ON]
    with subprocess.Popen(
        command, env={**environment, "PYTHONUNBUFFERED": "1"}, stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.close()
        assert process.stderr.read() == b""
        assert process.wait(30) == 0


# A path with the station of the file


@pytest.mark.usefixtures("station")
def test_a_path_is_reckoned_with_the_station_of_the_file(call) -> None:
    """50 W, 10 m of 20 dB per 100 m and 1 dB of switches, 6 dBi: the file's numbers, given as options."""
    given = ("--watts", "50", "--gain-dbi", "6", "--loss-db", "3", "--antenna-m", "7")
    way = ("calc", "path", "CN94hb", "CN85", "--mhz", "146.52", "--json")
    taken, same = call(*way).object, call(*way, *given).object
    assert taken["received_dbm"] == same["received_dbm"]
    assert taken["horizon_m"] == same["horizon_m"]
    assert taken["notes"][0] == ("taken from the station file: 50 W, 6 dBi, 3.0 dB lost, an antenna at 7 m")


@pytest.mark.usefixtures("station")
def test_another_transmitter_has_nothing_of_the_station(call) -> None:
    way = ("calc", "path", "CN94hb", "CN85", "--mhz", "146.52", "--watts", "50", "--json")
    told, bare = call(*way).object, call(*way, "--gain-dbi", "0", "--loss-db", "0").object
    assert told["received_dbm"] == bare["received_dbm"]
    assert not any("station file" in note for note in told["notes"])


@pytest.mark.usefixtures("station")
def test_one_option_wins_over_the_file_and_the_rest_is_taken(call) -> None:
    way = ("calc", "reach", "CN94hb", "--mhz", "146.52", "--json")
    told = call(*way, "--gain-dbi", "2", "--antenna-m", "30").object
    assert told["notes"][0] == "taken from the station file: 50 W, 3.0 dB lost"
    assert told["horizon_m"] > call(*way).object["horizon_m"]
