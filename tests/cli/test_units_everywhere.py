"""Kilometres or miles: one option, one set of values, and the station file behind it, wherever a distance is told.

A mile is 1.609344 km (international agreement of 1959).
"""

from __future__ import annotations

from pathlib import Path

import pytest

SAMPLE = Path(__file__).parents[2] / "sample_sessions" / "2026-06-14-1650-larkspur-ridge.jsonl"
COMMANDS = [
    f"show {SAMPLE}",
    f"report {SAMPLE} --text",
    f"past KD7QSV --folder {SAMPLE.parent} --demo",
    "plan CN94hb --on 2026-06-14 --to Rosa=CN85mm",
    "calc path CN94hb CN85mm",
    "calc reach CN94hb",
    f"calc strength {SAMPLE}",
]


@pytest.fixture
def told_in(call, monkeypatch, tmp_path):
    def told(line: str, *more: str, units: str = "") -> str:
        if units:
            station = tmp_path / "station.toml"
            station.write_text(f'[screen]\nunits = "{units}"\n', encoding="utf-8")
            monkeypatch.setenv("FIELDTUI_STATION", str(station))
        ended = call(*line.split(), *more)
        assert ended.code == 0, ended.err
        return str(ended.out)

    return told


@pytest.mark.parametrize("line", COMMANDS)
def test_every_spelling_is_understood_by_every_command(told_in, line: str) -> None:
    miles = told_in(line, "--units", "mi")
    assert miles == told_in(line, "--miles") == told_in(line, "--units", "imperial")
    assert told_in(line) == told_in(line, "--units", "km") == told_in(line, "--units", "metric")
    assert miles != told_in(line)


@pytest.mark.parametrize("line", COMMANDS)
def test_the_station_file_rules_until_something_else_is_asked_for(told_in, line: str) -> None:
    kilometres, miles = told_in(line, "--units", "km"), told_in(line, "--units", "mi")
    assert told_in(line, units="mi") == miles
    assert told_in(line, "--units", "km", units="mi") == kilometres


def test_a_path_is_as_long_in_miles_as_in_kilometres(told_in) -> None:
    def distance(unit: str) -> float:
        return float(told_in("calc path CN94hb CN85mm", "--units", unit).split()[1])

    assert distance("km") / distance("mi") == pytest.approx(1.609344, rel=1e-3)


def test_another_unit_is_one_line(call) -> None:
    ended = call("show", SAMPLE, "--units", "furlongs")
    assert ended.code == 2
    assert "write --units km or --units mi" in ended.err
