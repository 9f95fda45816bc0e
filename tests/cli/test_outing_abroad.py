"""First outings in London, Sydney and Tokyo: of call and locator alone the program says what it assumes."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.conftest import Run

LONDON, SYDNEY, TOKYO = ("M0QRN", "IO91wm"), ("VK2QSO", "QF56od"), ("JA1QRV", "PM95vq")
NORTH_AMERICAN_MHZ = ("146.520", "146.550", "446.000", "223.500", "222.100", "144.390", "1294.500")


def settle(run: Run, call: str, locator: str) -> None:
    assert run("station", "init", "--no-questions", "--call", call, "--locator", locator).code == 0


@pytest.mark.parametrize(
    ("who", "assumed", "calling"),
    [
        (LONDON, "region 1 and the rule of the United Kingdom assumed from IO91wm", "145.500 FM"),
        (SYDNEY, "region 3 and the rule of Australia assumed from QF56od", "146.500 FM"),
        (TOKYO, "region 3 and the rule of Japan assumed from PM95vq", "145.000 FM"),
    ],
)
def test_what_is_assumed_is_said_wherever_it_counts(
    run: Run, who: tuple[str, str], assumed: str, calling: str
) -> None:
    settle(run, *who)
    shown, checked, planned = run("station", "show").out, run("check").out, run("plan").out
    assert assumed in shown
    assert assumed in checked
    assert "not checked" in shown
    assert "not checked" in checked
    assert assumed.lower() in " ".join(planned.split()).lower()
    assert "icence is not checked" in planned
    first = next(line for line in planned.splitlines() if " FM, " in line)
    assert first.strip().startswith(calling)
    for megahertz in NORTH_AMERICAN_MHZ:
        assert f" {megahertz}" not in planned


@pytest.mark.parametrize(
    ("who", "rule", "region", "seconds"),
    [(LONDON, "uk", 1, None), (SYDNEY, "australia", 3, 600), (TOKYO, "japan", 3, 600)],
)
def test_the_journal_says_by_which_rule_it_counted(
    run: Run, tmp_path: Path, who: tuple[str, str], rule: str, region: int, seconds: int | None
) -> None:
    settle(run, *who)
    assert run("add", "j.jsonl", "f5qra 59 57").code == 0
    told = run("show", "j.jsonl", "--json").object
    assert told["identification"]["rule"] == rule
    assert told["identification"]["interval_seconds"] == seconds
    assert told["identification"]["rule_assumed_from"] == who[1]
    assert (told["session"]["region"], told["session"]["region_assumed_from"]) == (region, who[1])
    assert f"rule {rule} (assumed from {who[1]})" in run("show", "j.jsonl").out
    assert f"assumed from {who[1]}" in run("report", "j.jsonl", "--text").out
    # A station file that comes later changes nothing about what was done.
    assert run("station", "init", "--no-questions", "--force", "--call", who[0], "--rule", "canada").code == 0
    assert run("show", "j.jsonl", "--json").object["identification"]["rule"] == rule


def test_a_place_that_is_told_later_brings_its_rule_and_the_journal_says_so(run: Run, tmp_path: Path) -> None:
    assert run("add", "j.jsonl", "f5qra 59 57").code == 0
    assert run("show", "j.jsonl", "--json").object["identification"]["rule"] == "us"
    said = run("add", "j.jsonl", "here JN18eu").out
    assert "region 1 and the rule of France assumed from JN18eu" in said
    told = run("show", "j.jsonl", "--json").object["identification"]
    assert (told["rule"], told["interval_seconds"], told["rule_assumed_from"]) == ("france", 900, "JN18eu")
    lines = [json.loads(line) for line in (tmp_path / "j.jsonl").read_text().splitlines()]
    assert [line["kind"] for line in lines].count("rule-assumed") == 1
    again = run("add", "j.jsonl", "here JN18ev").out
    assert "assumed" not in again


def test_a_rule_that_is_set_stays_wherever_the_station_goes(run: Run) -> None:
    assert (
        run("station", "init", "--no-questions", "--call", "M0QRN", "--rule", "uk", "--region", "1").code == 0
    )
    assert run("add", "j.jsonl", "f5qra 59 57").code == 0
    assert "assumed" not in run("add", "j.jsonl", "here JN18eu").out
    assert run("show", "j.jsonl", "--json").object["identification"]["rule"] == "uk"


@pytest.mark.parametrize(
    ("who", "line", "doubt"),
    [
        (LONDON, "147.500 fm", "outside the bands of the United Kingdom: 144-146"),
        (LONDON, "440.500 fm", "outside the bands of the United Kingdom: 430-440"),
        (TOKYO, "146.52 fm", "outside the bands of Japan: 144-146"),
        (SYDNEY, "223.5 fm", "no 1.25 m band in Australia"),
    ],
)
def test_a_typed_frequency_is_held_against_the_bands_of_the_place(
    run: Run, who: tuple[str, str], line: str, doubt: str
) -> None:
    settle(run, *who)
    told = run("add", "j.jsonl", line)
    assert told.code == 0, "doubted, never refused"
    assert doubt in told.out


@pytest.mark.parametrize(
    ("who", "line"), [(LONDON, "145.5 fm"), (SYDNEY, "147.0 fm"), (TOKYO, "433.0 fm"), (LONDON, "7.030 cw")]
)
def test_what_is_usual_there_is_not_doubted(run: Run, who: tuple[str, str], line: str) -> None:
    settle(run, *who)
    assert run("add", "j.jsonl", line).out.count("\n") == 1


def test_channels_of_ones_own_that_send_outside_the_bands_are_named(
    run: Run, environment: dict[str, str], tmp_path: Path
) -> None:
    """147.300 with a shift of 6 MHz down sends on 141.300, in no band."""
    (tmp_path / "c.csv").write_text(
        "name,receive,shift,purpose\nGorse Hill,147.300,-6.0,repeater\nMoor Top,145.600,-0.6,repeater\n"
    )
    folder = Path(environment["HOME"]) / ".config" / "fieldtui"
    folder.mkdir(parents=True)
    words = (
        f'[operator]\ncall = "W7QRV"\n[place]\nlocator = "CN94hb"\n[screen]\nchannels = "{tmp_path}/c.csv"\n'
    )
    (folder / "station.toml").write_text(words)
    told = run("station", "check")
    assert told.code == 1
    assert (
        "channel 1 Gorse Hill sends on 141.300 MHz: outside every band: look at the sign of the shift"
        in told.out
    )
    assert "Moor Top" not in told.out
    assert "sends on 141.300 MHz" in run("check").out


def test_without_a_licence_it_is_said_that_it_was_not_checked(run: Run) -> None:
    settle(run, "KD7QSV", "CN94hb")
    for command in (("check",), ("plan",), ("station", "show")):
        assert "icence not given: not checked" in run(*command).out, command


def test_with_nothing_at_all_north_america_is_assumed_and_said(run: Run) -> None:
    told = run("check").out
    assert "region 2 and the rule of the United States assumed, since nothing tells where this is" in told


def test_what_is_set_against_the_place_is_told(run: Run) -> None:
    run(
        "station",
        "init",
        "--no-questions",
        "--call",
        "M0QRN",
        "--locator",
        "IO91wm",
        "--region",
        "2",
        "--rule",
        "us",
    )
    assert "region 2 is set, but IO91wm lies in region 1" in run("check").out
    assert "the rule us is set, but IO91wm lies in the United Kingdom" in run("station", "show").out


def test_a_place_that_is_taken_back_takes_its_rule_along(run: Run) -> None:
    run("add", "j.jsonl", "f5qra 59 57")
    run("add", "j.jsonl", "here JN18eu")
    assert "taken back: here: JN18eu" in run("add", "j.jsonl", "undo").out
    assert run("show", "j.jsonl", "--json").object["identification"]["rule"] == "us"
    run("add", "j.jsonl", "redo")
    assert run("show", "j.jsonl", "--json").object["identification"]["rule"] == "france"
