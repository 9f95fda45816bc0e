"""`fieldtui plan` from the evening before to the report: one page, one line for what is wrong, ticks that last."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from pathlib import Path

import pytest

from fieldtui.journal.events import SessionOpened
from fieldtui.journal.plan_events import KitTicked, PathPlanned, PlanMade
from fieldtui.journal.waiting_plan import NAME, waiting_events
from tests.support.journals import events_of, folded, of_kind
from tests.support.planning import STATION
from tests.support.terminal import Terminal, fieldtui
from tests.support.tiles import write_striped_tile

ON = ("--on", "2026-06-14", "--from", "18:00")
PLACE = ("CN94hb", *ON)


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """A folder with a station file and its tiles."""
    (tmp_path / "tiles").mkdir()
    write_striped_tile(tmp_path / "tiles", "N44W122", lambda lon: 1900 if -121.441 < lon < -121.437 else 600)
    (tmp_path / "station.toml").write_text(f'{STATION}\n[terrain]\nfolder = "tiles"\n')
    (tmp_path / "journals").mkdir()
    return tmp_path


@pytest.fixture
def plan(run, home):
    """Call `fieldtui plan` with that station."""

    def call(*words, **more):
        return run(
            "plan", *words, FIELDTUI_STATION=str(home / "station.toml"), FIELDTUI_JOURNALS=str(home / "journals"),
            **more,
        )  # fmt: skip

    return call


def test_the_page_of_a_described_station(plan):
    done = plan(*PLACE, "--channels", "146.52,446", "--to", "Rosa=CN94gm", COLUMNS="80")
    assert (done.code, done.err) == (0, "")
    assert max(map(len, done.out.splitlines())) <= 80
    for words in (
        "Place       Larkspur Ridge  CN94hb",
        "The ground to Rosa",
        "first Fresnel zone",
        "Keep everyone away",
        "[ ]  water",
    ):
        assert words in done.out
    assert "\nMissing" not in done.out


def test_the_json_says_what_the_calculators_say(plan, run, home):
    """The page is put together, not calculated again: sun, exposure and reach are those of `calc`."""
    told = plan(*PLACE, "--channels", "146.52", "--no-amplifier", "--to", "CN94gm", "--json").object
    station = str(home / "station.toml")
    sun = run("calc", "sun", "CN94hb", "--on", "2026-06-14", "--json").object
    assert {name: told["sun"][name] for name in ("sunrise", "sunset", "dusk")} == {
        name: sun[name] for name in ("sunrise", "sunset", "dusk")
    }
    exposed = run(
        "calc", "exposure", "--mhz", "146.52", "--watts", "5", "--gain-dbi", "6", "--loss-db", "3", "--json"
    ).object
    assert told["channels"][0]["keep_m"] == pytest.approx(exposed["keep_m"], abs=0.01)
    path = run(
        "calc", "path", "CN94hb", "CN94gm", "--mhz", "146.52", "--watts", "5", "--gain-dbi", "6", "--loss-db", "3",
        "--antenna-m", "7", "--terrain", home / "tiles", "--json", FIELDTUI_STATION=station,
    ).object  # fmt: skip
    assert told["paths"][0]["received_dbm"] == pytest.approx(path["received_dbm"], abs=0.01)
    assert told["paths"][0]["distance_m"] == pytest.approx(path["distance_m"], abs=0.1)


KEYS = {
    "on", "begins_at", "ends_at", "home_at", "place", "sun", "channels", "reach", "paths", "station", "power",
    "kit", "cautions", "cautions_rider", "limits", "local", "two_transmitters", "identification", "lacking",
    "region", "region_assumed_from", "country",
}  # fmt: skip


def test_the_keys_of_the_json_are_there_without_a_station_file(run):
    told = run("plan", "44.06,-121.37", *ON, "--json").object
    assert set(told) == KEYS
    assert told["power"] is None
    assert len(told["lacking"]) >= 4


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("ZZ99", *ON), "not a locator"),
        (("91,10", *ON), "latitude comes first"),
        (("44.06,", *ON), "not a place"),
        (("CN94hb", "--on", "2026-02-30"), "not a date"),
        (("CN94hb", "--on", "1700-01-01"), "not calculated"),
        (("CN94hb", "--from", "25:00"), "is not a time"),
        (("CN94hb", "--hours", "0"), "cannot be planned"),
        (("CN94hb", "--hours", "1,5"), "decimal comma"),
        (("CN94hb", "--channels", "nowhere"), "no channel"),
        (("CN94hb", "--channels", ","), "1 to 50 channels"),
        (("CN94hb", "--to", "Rosa=nowhere"), "locator"),
        (("CN94hb", "--terrain", "gone"), "not a folder"),
        (("CN94hb", "--transmit-percent", "101"), "is not possible"),
        (("--save", "CN94hb"), "a PLACE stands before --save"),
        (("CN94hb", "--save", "gone.jsonl"), "no such journal"),
        (("--tick", "piano"), "no plan is kept"),
        (("--station", "gone.toml"), "station file"),
        ((), "give a PLACE"),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, tuple) else "",
)
def test_what_cannot_be_is_one_line(call, words, said, tmp_path):
    done = call("plan", *words)
    assert done.code == 2
    assert said in done.complaint
    assert not (tmp_path / "home").exists()


def test_a_missing_tile_is_named_on_the_page(plan):
    done = plan(*PLACE, "--to", "CN93")
    assert done.code == 0
    assert "N43W122.hgt" in done.out


def test_a_folder_of_tiles_that_is_gone_is_told(plan, home):
    (home / "station.toml").write_text(f'{STATION}\n[terrain]\nfolder = "elsewhere"\n')
    done = plan(*PLACE)
    assert done.code == 0
    assert "elsewhere cannot be read" in " ".join(done.out.split())


def test_the_page_for_a_browser(plan, home):
    done = plan(*PLACE, "--to", "<b>Rosa=CN94gm", "-o", "plan.html")
    assert done.code == 0
    text = (home / "plan.html").read_text("utf-8")
    assert text.startswith("<!DOCTYPE html>")
    assert 'class="terrain wide-only"' in text
    assert "<b>Rosa" not in text
    assert "Hour by hour" in text
    assert plan(*PLACE, "-o", "x.jsonl").code == 2


# Ticking off


def test_ticks_wait_for_the_session_and_survive(plan, home):
    assert "4 of 5 still to pack" in plan("--tick", "wat").out
    assert "3 of 5 still to pack" in plan("--tick", "1").out
    assert "4 of 5 still to pack" in plan("--untick", "WATER").out
    plan(*PLACE, "--save")
    done = plan(*PLACE)
    assert "1  [x]  radio" in done.out
    assert "5  [ ]  water" in done.out
    assert [event.item for event in waiting_events(home / "journals" / NAME) if isinstance(event, KitTicked)][
        :3
    ] == ["water", "radio", "water"]


def test_a_beginning_that_fits_two_things_is_refused(plan, home):
    (home / "station.toml").write_text('[kit]\nitems = ["radio", "radio lamp", "rope"]\n')
    assert "fits radio lamp and rope" in plan("--tick", "r").complaint.replace("radio and ", "")
    assert "[x] radio\n" in plan("--tick", "radio").out


# Into the session


def today() -> tuple[str, ...]:
    """A plan for noon of this day at a place where noon is noon: any session of the day belongs to it."""
    return ("44.06,0.5", "--on", f"{datetime.now(UTC):%Y-%m-%d}", "--from", "12:00", "--hours", "1")


def journal_of(home: Path) -> Path:
    (journal,) = (home / "journals").glob("*.jsonl")
    return journal


def environment_of(home: Path) -> dict[str, str]:
    return {
        "FIELDTUI_STATION": str(home / "station.toml"),
        "FIELDTUI_JOURNALS": str(home / "journals"),
        "HOME": str(home),
    }


def test_the_session_takes_the_plan_once_and_keeps_ticks_over_a_restart(plan, run, home):
    """Evening, morning, hill: planned, ticked, opened, ticked on the screen, left, resumed, reported."""
    plan("--tick", "radio")
    assert plan(*today(), "--to", "CN94gm", "--save").code == 0
    with Terminal(fieldtui("session"), environment=environment_of(home)) as hill:
        hill.wait_for("F1 help")
        hill.press("ctrl+p")
        hill.wait_for("time on site")
        hill.send("k")
        hill.wait_for("4 of 5 still to pack")
        hill.press("down")
        hill.send(" ")
        hill.wait_for("3 of 5 still to pack")
        hill.send("\x1b")
        hill.wait_for("F1 help")
        hill.press("f10")
        hill.wait_for("y leaves")
        hill.send("y")
        hill.wait_end()
    journal = journal_of(home)
    opening = events_of(journal)[0]
    assert isinstance(opening, SessionOpened)
    assert opening.locator is not None
    assert opening.locator.startswith("JN04")
    assert not (home / "journals" / NAME).exists()
    with Terminal(fieldtui("session"), environment=environment_of(home)) as hill:
        hill.wait_for("resumed")
        hill.press("ctrl+p")
        hill.wait_for("time on site")
        hill.send("k")
        hill.wait_for("3 of 5 still to pack")
    assert len(of_kind(journal, PlanMade)) == len(of_kind(journal, PathPlanned)) == 1
    assert folded(journal).kit.packed_items() == ("radio", "battery")
    report = run("report", journal, "--text")
    assert "The plan" in report.out
    assert re.search(r"time on site +1\.0 h", report.out)
    assert run("show", journal, "--json").object["plan"]["duty_percent"] == 10
    assert run("verify", journal).code == 0


def test_a_plan_for_another_day_stays_where_it_is(plan, home):
    assert plan("CN94hb", "--on", "2031-06-14", "--save").code == 0
    waiting = waiting_events(home / "journals" / NAME)
    made = waiting[0]
    assert isinstance(made, PlanMade)
    with Terminal(fieldtui("session"), environment=environment_of(home)) as hill:
        hill.wait_for("2031-06-14: it is not taken")
    assert of_kind(journal_of(home), PlanMade) == []
    assert (home / "journals" / NAME).exists()


def test_a_plan_can_be_written_into_a_session_that_goes_on(plan, run, home):
    assert run("add", "hill.jsonl", "kd7qsw 59 57 CN94gm").code == 0
    assert plan(*PLACE, "--save", "hill.jsonl").code == 0
    state = folded(home / "hill.jsonl")
    assert state.plan.made is not None
    assert state.plan.made.on == "2026-06-14"
    assert not (home / "journals" / NAME).exists()


def test_a_journal_without_a_session_takes_no_plan(plan, home):
    """A session in it would seem to last from the planning on."""
    (home / "empty.jsonl").write_text("")
    assert "no session begins there" in plan(*PLACE, "--save", "empty.jsonl").complaint


def test_a_waiting_plan_is_no_session(plan, run, home):
    """Nothing resumes it, and no report over all journals counts it."""
    plan(*PLACE, "--save")
    assert "no journals" in run("report", "--all", FIELDTUI_JOURNALS=str(home / "journals")).complaint
