"""`fieldtui add` and `show`: what is typed in a shell is in the journal, and comes out again."""

from __future__ import annotations

import math
import re
from pathlib import Path

import pytest

from fieldtui.journal.events import BatterySampled, FeedChanged, SessionOpened
from fieldtui.journal.file import Draft, Journal
from fieldtui.journal.stamp import SystemClock

SESSION = {"journal", "station_call", "opened_at", "closed_at", "locator"}
CONTACT = {
    "id", "at", "call", "sent", "received", "name", "place", "locator", "hertz", "mode", "watts", "remarks",
    "card", "distance_m", "bearing_deg", "withdrawn",
}  # fmt: skip
IDENTIFICATION = {"last_at", "due_at", "state", "rule"}
BATTERY = {
    "volts", "amps", "amp_hours_out", "watt_hours_out", "charge_percent", "hours_left", "internal_ohms",
    "transmit_seconds", "duty_percent", "state",
}  # fmt: skip

CN94FL, CN94HB = (44.479166667, -121.541666667), (44.0625, -121.375)


def great_circle_m(here: tuple[float, float], there: tuple[float, float]) -> float:
    """The haversine on a sphere of the IUGG mean radius; within 0.6 % of the ellipsoid."""
    (lat1, lon1), (lat2, lon2) = ([math.radians(degrees) for degrees in place] for place in (here, there))
    part = (
        math.sin((lat2 - lat1) / 2) ** 2 + math.cos(lat1) * math.cos(lat2) * math.sin((lon2 - lon1) / 2) ** 2
    )
    return 2 * 6_371_008.8 * math.asin(math.sqrt(part))


def test_what_is_added_is_shown(run):
    """A whole outing typed in a shell, line by line."""
    for line in (
        "here cn94fl Larkspur Ridge",
        "146.52 fm 25w",
        "kd7qsv 59 57 cn94hb Rosa, Larkspur Flat, on a bicycle, card",
        "volts 12.85",
        "id",
        "note wind from the west",
        "heard k?7qu? weak",
    ):
        assert run("add", "hill.jsonl", *line.split()).code == 0
    told = run("show", "hill.jsonl", "--json").object
    (contact,) = told["contacts"]
    assert contact["call"] == "KD7QSV"
    assert (contact["sent"], contact["received"]) == ("59", "57")
    assert (contact["name"], contact["place"], contact["remarks"]) == (
        "Rosa",
        "Larkspur Flat",
        "on a bicycle",
    )
    assert (contact["locator"], contact["hertz"], contact["mode"]) == ("CN94hb", 146_520_000, "FM")
    assert (contact["watts"], contact["card"], contact["withdrawn"]) == (25, True, False)
    assert contact["distance_m"] == pytest.approx(great_circle_m(CN94FL, CN94HB), rel=0.006)
    assert 135 < contact["bearing_deg"] < 180
    assert told["battery"]["volts"] == 12.85
    assert told["identification"]["last_at"] is not None
    assert [note["text"] for note in told["notes"]] == ["wind from the west"]
    assert told["damage"] == []


def test_show_has_the_keys_of_the_contract(run):
    """Keys are there even where nothing is known; a value that is not known is null."""
    run("add", "hill.jsonl", "kd7qsv 59")
    told = run("show", "hill.jsonl", "--json").object
    assert set(told) >= {"session", "contacts", "identification", "battery", "damage"}
    assert set(told["session"]) >= SESSION
    assert set(told["contacts"][0]) >= CONTACT
    assert set(told["identification"]) >= IDENTIFICATION
    assert set(told["battery"]) >= BATTERY
    assert told["contacts"][0]["name"] is None
    assert told["battery"]["volts"] is None
    assert told["session"]["closed_at"] is None


def test_times_are_utc_in_milliseconds(run):
    run("add", "hill.jsonl", "kd7qsv 59")
    told = run("show", "hill.jsonl", "--json").object
    for at in (told["session"]["opened_at"], told["contacts"][0]["at"]):
        assert len(at) == len("2026-06-14T17:03:22.418Z")
        assert at[10] == "T"
        assert at.endswith("Z")


def test_the_line_may_be_one_word_or_many(run):
    """Quoted or not, and with options anywhere between."""
    run("add", "hill.jsonl", "kd7qsv 59 57 Rosa, Larkspur Flat")
    run("add", "hill.jsonl", "kd7qsv", "59", "--json", "57", "Rosa,", "Larkspur", "Flat")
    first, second = run("show", "hill.jsonl", "--json").object["contacts"]
    assert (first["name"], first["place"]) == (second["name"], second["place"]) == ("Rosa", "Larkspur Flat")


def test_a_word_that_begins_with_a_minus_and_a_digit_is_no_option(run):
    """Digital reports are negative."""
    assert run("add", "hill.jsonl", "kd7qsv", "-12", "-8", "-5m").code == 0
    (contact,) = run("show", "hill.jsonl", "--json").object["contacts"]
    assert (contact["sent"], contact["received"]) == ("-12", "-8")


def test_what_was_understood_is_told_as_json(run):
    told = run("add", "--json", "hill.jsonl", "kd7qsv 59 57 Rosa").object
    assert told["saved"] is True
    assert (told["kind"], told["call"], told["name"]) == ("contact", "KD7QSV", "Rosa")


@pytest.mark.parametrize("line", ["not a call", "kd7qsv 59 57 162,4", "volts 12,85", "fix last name Ada", ""])
def test_a_refused_line_makes_no_file(call, tmp_path, line):
    told = call("add", "hill.jsonl", line)
    assert told.code == 1
    assert "not logged: " in told.complaint
    assert list(tmp_path.glob("hill*")) == []


def test_a_refused_line_leaves_the_journal_as_it_was(run, tmp_path):
    run("add", "hill.jsonl", "kd7qsv 59")
    before = (tmp_path / "hill.jsonl").read_bytes()
    assert run("add", "hill.jsonl", "fix 7 name Ada").code == 1
    assert (tmp_path / "hill.jsonl").read_bytes() == before


def test_a_missing_folder_is_named_and_not_made(run, tmp_path):
    told = run("add", "none/hill.jsonl", "kd7qsv 59")
    assert told.code == 2
    assert "NOT SAVED: none/hill.jsonl: " in told.complaint
    assert not (tmp_path / "none").exists()


def test_a_folder_is_no_journal(run, tmp_path):
    (tmp_path / "hill.jsonl").mkdir()
    assert "name a file" in run("add", "hill.jsonl", "kd7qsv 59").complaint


@pytest.mark.parametrize("device", ["/dev/null", "/dev/zero"])
def test_a_device_is_no_journal(run, device):
    """One would swallow the line, the other never end."""
    told = run("add", device, "kd7qsv 59", under=("timeout", "-s", "KILL", "5"))
    assert told.code == 2
    assert f"NOT SAVED: {device} is not a file" in told.complaint


def test_another_file_is_left_alone(run, tmp_path):
    """A mistyped name must not append to a letter."""
    letter = tmp_path / "letter.txt"
    letter.write_text("Dear Rosa,\n")
    told = run("add", letter, "kd7qsv 59")
    assert told.code == 1
    assert "not a journal" in told.complaint
    assert letter.read_text() == "Dear Rosa,\n"


def test_a_disk_that_takes_no_more_says_so(run, tmp_path):
    """A limit on the size of files stands in for a full disk: nothing is half written."""
    limited = ("bash", "-c", 'ulimit -f 0; exec "$@"', "limited")
    told = run("add", "hill.jsonl", "kd7qsv 59", under=limited)
    assert told.code == 1
    assert "NOT SAVED: the file may not grow further" in told.complaint
    assert (tmp_path / "hill.jsonl").read_bytes() == b""
    assert run("add", "hill.jsonl", "kd7qsv 59").code == 0


def test_the_station_file_opens_a_new_journal(run):
    """Call and place of the station stand in the first line."""
    run(
        "station",
        "init",
        "--no-questions",
        "--call",
        "W7QRV",
        "--locator",
        "CN94fl",
        "--place",
        "Larkspur Ridge",
    )
    run("add", "hill.jsonl", "kd7qsv 59 57 cn94hb")
    told = run("show", "hill.jsonl", "--json").object
    assert told["session"]["station_call"] == "W7QRV"
    assert told["session"]["locator"] == "CN94fl"
    assert told["contacts"][0]["distance_m"] is not None


def test_a_station_file_that_is_not_there_is_named(run, tmp_path):
    told = run("add", "--station", "none.toml", "hill.jsonl", "kd7qsv 59")
    assert told.code == 2
    assert "none.toml" in told.complaint
    assert not (tmp_path / "hill.jsonl").exists()


def test_damage_is_told_and_the_rest_is_shown(run, samples: Path):
    """The damaged sample: its other lines still count."""
    damaged = next(samples.glob("*damaged.jsonl"))
    told = run("show", damaged)
    assert told.code == 0
    assert "KD7QSV" not in told.out.splitlines()[0]
    assert all(line.startswith("fieldtui: ") for line in told.err.splitlines())
    assert run("show", damaged, "--json").object["damage"] != []


def test_a_shell_is_told_what_helps_in_a_shell(run, tmp_path: Path):
    """There are no keys here, and no list on a screen."""
    for line, words in (
        ("kd7qsv 59 57", "no frequency set: write it in the line, MHz with a point"),
        ("channel nowhere", "no channel nowhere: name one of your frequency plan"),
        ("fix 12 name Ada", "there is no contact 12: 'fieldtui show JOURNAL' lists the numbers"),
    ):
        ended = run("add", "hill.jsonl", line)
        said = ended.out + ended.err
        assert words in said
        assert not re.search(r"F\d|press|Esc", said)


STATION = '[operator]\ncall = "KD7QSV"\n[radio]\nwatts = 5\n[amplifier]\nwatts = 30\ndrive_watts = 5\n'


def test_with_an_amplifier_the_watts_of_a_contact_are_those_of_the_station(run, tmp_path: Path):
    """What goes into the line, from the first contact on."""
    (tmp_path / "station.toml").write_text(STATION)
    assert run("add", "hill.jsonl", "w0qsl 146.52 fm 59 57", "--station", "station.toml").code == 0
    assert run("add", "hill.jsonl", "ve7qrz 59 57").code == 0
    told = run("show", "hill.jsonl", "--json").object
    assert [contact["watts"] for contact in told["contacts"]] == [30.0, 30.0]
    assert "taken back: contact 2 VE7QRZ" in run("add", "hill.jsonl", "undo").out
    assert "taken back: contact 1 W0QSL" in run("add", "hill.jsonl", "undo").out
    assert "nothing to take back" in run("add", "hill.jsonl", "undo").err


@pytest.mark.parametrize(("age_seconds", "counts"), [(5.0, False), (25.0, False), (45.0, True)])
def test_a_meter_far_from_a_live_shunt_is_doubted_as_on_the_screen(
    run, tmp_path: Path, age_seconds: float, *, counts: bool
):
    """And once the shunt is silent what is said and what counts are the same."""
    now = SystemClock().now()
    journal = tmp_path / "hill.jsonl"
    with Journal(journal) as opened:
        then = now.moved_to(now.mono_seconds - age_seconds)
        opened.append(
            [
                Draft(then, SessionOpened(program="fieldtui test")),
                Draft(then, FeedChanged(feed="shunt", url="/dev/x", condition="reading", words="reading")),
                Draft(then, BatterySampled(feed="shunt", volts=13.28, amps=-0.3)),
            ]
        )
    said = run("add", "hill.jsonl", "volts 12.9").out
    assert ("not counted" in said) == (not counts)
    assert run("show", "hill.jsonl", "--json").object["battery"]["volts"] == (12.9 if counts else 13.28)
