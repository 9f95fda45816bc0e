"""A voltage typed in a shell: an alarm is in the answer, in the journal, and in what `show` says."""

from __future__ import annotations

from pathlib import Path

from fieldtui.journal.events import AlarmRaised, PackStated
from tests.support.journals import of_kind

STATION = '[pack]\nchemistry = "lifepo4"\ncells = 4\namp_hours = 7.0\n'


def test_a_low_pack_is_called_in_the_answer(run, tmp_path: Path) -> None:
    station = tmp_path / "station.toml"
    station.write_text(STATION)
    told = run("add", "hill.jsonl", "volts", "11.1", "--station", station)
    assert told.code == 0
    assert told.out.splitlines()[0] == "meter: 11.1 V"
    assert "battery very low: 11.10 V (finish the contact, save the pack)" in told.out
    (alarm,) = of_kind(tmp_path / "hill.jsonl", AlarmRaised)
    assert (alarm.alarm, alarm.severity) == ("very-low", "severe")
    assert len(of_kind(tmp_path / "hill.jsonl", PackStated)) == 1
    assert "battery very low" in run("show", "hill.jsonl").out

    told = run("add", "hill.jsonl", "volts", "10.4", "--json", "--station", station)
    assert told.object["alarms"] == ["cut-off near: 10.40 V (stop transmitting, connect a charger)"]
    told = run("add", "hill.jsonl", "volts", "13.1", "--station", station)
    assert "over: battery very low" in told.out
    assert run("show", "hill.jsonl", "--json").object["battery"]["alarms"] == []
    assert len(of_kind(tmp_path / "hill.jsonl", PackStated)) == 1


def test_without_a_stated_pack_a_voltage_is_only_kept(run, tmp_path: Path) -> None:
    told = run("add", "hill.jsonl", "volts", "10.5")
    assert (told.code, told.out) == (0, "meter: 10.5 V\n")
    assert of_kind(tmp_path / "hill.jsonl", AlarmRaised) == []
