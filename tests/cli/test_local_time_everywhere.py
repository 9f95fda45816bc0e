"""Local time stands beside UTC wherever a time is planned or told, and may be given."""

from __future__ import annotations

from pathlib import Path

import pytest

SAMPLE = Path(__file__).parents[2] / "sample_sessions" / "2026-06-14-1650-larkspur-ridge.jsonl"


@pytest.fixture
def in_oregon(run, tmp_path):
    """Call with a station file that names the zone."""
    station = tmp_path / "station.toml"
    station.write_text('[screen]\nzone = "America/Los_Angeles"\n', encoding="utf-8")
    return lambda *words: run(*words, FIELDTUI_STATION=str(station))


@pytest.mark.parametrize(
    "line",
    [
        "plan CN94hb --on 2026-06-14",
        "calc sun CN94hb --on 2026-06-14",
        f"show {SAMPLE}",
        f"report {SAMPLE} --text",
    ],
)
def test_local_time_stands_beside_utc(in_oregon, run, line: str) -> None:
    assert "PDT" in in_oregon(*line.split()).out
    assert "PDT" not in run(*line.split(), TZ="UTC").out
    assert "PDT" in run(*line.split(), TZ="America/Los_Angeles").out


def test_a_plan_takes_local_times(in_oregon) -> None:
    """Pacific daylight time is seven hours behind UTC."""
    told = in_oregon(
        "plan", "CN94hb", "--on", "2026-06-14", "--from", "10:00 local", "--home", "5pm", "--json"
    ).object
    assert told["begins_at"] == "2026-06-14T17:00:00Z"
    assert told["home_at"] == "2026-06-15T00:00:00Z"
    assert told["local"]["home_at"] == "2026-06-14T17:00:00-07:00"


def test_what_is_no_time_is_explained(run) -> None:
    ended = run("plan", "CN94hb", "--home", "25pm")
    assert ended.code == 2
    assert "5pm" in ended.err
    assert "UTC" in ended.err


def test_a_zone_that_there_is_not_is_told_by_check_of_the_station_file(run, tmp_path) -> None:
    station = tmp_path / "station.toml"
    station.write_text('[screen]\nzone = "Nowhere/Atall"\n', encoding="utf-8")
    ended = run("check", FIELDTUI_STATION=str(station))
    assert "not a time zone" in ended.out + ended.err
