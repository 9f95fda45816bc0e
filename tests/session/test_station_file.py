"""Station files: what they say is read, what is wrong is told at its line, the good values count."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from msgspec.structs import fields

from fieldtui.station.meter import ModbusMeter
from fieldtui.station.parts import Amplifier, Antenna, Kit, Line, Loads, Panel, Terrain
from fieldtui.station.place import channels_path, station_path
from fieldtui.station.reading import (
    MOST_BYTES,
    Feeds,
    Operator,
    Pack,
    Place,
    Radio,
    Screen,
    Station,
    read_station,
    station_text,
)
from fieldtui.station.sending import PacketStation
from fieldtui.station.settings import SECTIONS, SETTINGS
from fieldtui.station.writing import as_mapping

WHOLE = b"""\
[operator]
call = "kd7qsv"
operator_call = "W0QSL"
name = "Rosa"
licence = "Technician"
rule = "us"
interval_minutes = 9.5
region = 2

[place]
locator = "cn94HB"
name = "Larkspur Flat"

[radio]
watts = 10
antenna = "half wave"
least_volts = 11.7
transmit_amps = 2.6
receive_amps = 0.35

[pack]
chemistry = "LFP"
cells = 4
amp_hours = 20
parallel = 2

[amplifier]
drive_watts = 5
watts = 50
transmit_amps = 9
standby_amps = 0.1
suppression_db = 60

[line]
cable = "rg58"
metres = 6
db_per_100_metres = 18.5
switch_db = 0.5
swr = 1.5

[antenna]
gain_dbi = 2.15
height_metres = 6

[panel]
watts = 20
efficiency = 0.65

[loads]
computer_watts = 4
lamp_watts = 2
other_watts = 1

[terrain]
folder = "hills"

[kit]
items = ["radio", "water, 2 l", "radio"]

[feeds]
shunt = "/dev/ttyUSB0"
shunt_baud = 19200
amps_positive_is = "charge"
charger = "/dev/ttyUSB2"
gps = "socket://localhost:4000"
gps_baud = 4800
packet = "rfc2217://host:5000"
shunt_lines = "both"
charger_lines = "Down"
gps_lines = "dtr"

[modbus]
port = "/dev/ttyUSB1"
role = "charger"
baud = 9600
parity = "none"
unit = 3
function = 4
amps_positive_is = "discharge"
low_word_first = true
volts = "0 u16 0.001"
amps = "1 S16 .0010"
charge_percent = "2 f32"
temperature_c = "4 s32 0.1"
lines = "rts"
no_modem = true

[packet]
may_send = true
ssid = 7
symbol = "/;"
comment = "portable, 146.520"
path = "wide2-1"
destination = "APZFUI"
ambiguity = 1
mhz = 144.39
port = 2
baud = 9600
lines = "down"

[screen]
bell = false
saver = true
theme = "sun"
units = "mi"
zone = "America/Denver"
figures = "itu"
channels = "trip.toml"

[screen.keys]
call-given = "f2"
note = "ctrl+n"
"""

STATION = Station(
    Operator("KD7QSV", "W0QSL", "Rosa", "technician", "us", 9.5, 2),
    Place("CN94hb", "Larkspur Flat"),
    Radio(10.0, "half wave", 11.7, 2.6, 0.35),
    Pack("lifepo4", 4, 20.0, 2),
    Amplifier(5.0, 50.0, 9.0, 0.1, 60.0),
    Line("RG-58", 6.0, 18.5, 0.5, 1.5),
    Antenna(2.15, 6.0),
    Panel(20.0, 0.65),
    Loads(4.0, 2.0, 1.0),
    Terrain("hills"),
    Kit(("radio", "water, 2 l")),
    Feeds(
        "/dev/ttyUSB0",
        19200,
        "charge",
        "socket://localhost:4000",
        "rfc2217://host:5000",
        4800,
        "/dev/ttyUSB2",
        "both",
        "down",
        "dtr",
    ),
    ModbusMeter(
        "/dev/ttyUSB1",
        "charger",
        9600,
        "none",
        3,
        4,
        "discharge",
        True,
        "0 u16 0.001",
        "1 s16 0.001",
        "2 f32 1",
        "4 s32 0.1",
        "rts",
        True,
    ),
    PacketStation(True, 7, "/;", "portable, 146.520", "wide2-1", "APZFUI", 1, 144.39, 2, 9600, "down"),
    Screen(
        bell=False,
        saver=True,
        theme="sun",
        units="mi",
        zone="America/Denver",
        figures="itu",
        channels="trip.toml",
        keys=(("call-given", "f2"), ("note", "ctrl+n")),
    ),
)


@pytest.mark.parametrize("data", [WHOLE, b"\xef\xbb\xbf" + WHOLE, WHOLE.replace(b"\n", b"\r\n")])
def test_a_whole_file_is_read_whatever_wrote_it(data: bytes) -> None:
    assert read_station(data, "station.toml") == (STATION, ())


def test_latin_1_is_read() -> None:
    station, problems = read_station('[operator]\nname = "Zoë"\n'.encode("latin-1"), "s")
    assert (station.operator.name, problems) == ("Zoë", ())


@pytest.mark.parametrize("data", [b"", b"# nothing\n", b"[operator]\n[screen.keys]\n"])
def test_an_empty_file_is_an_empty_station(data: bytes) -> None:
    assert read_station(data, "s") == (Station(), ())


@pytest.mark.parametrize(
    ("section", "line", "what"),
    [
        ("operator", "call = KD7QSV", "quotes"),
        ("operator", 'call = "KD7QSV', "call"),
        ("operator", 'call = "nobody"', "not a call sign"),
        ("operator", 'call = "K?7QSV"', "not a call sign"),
        ("operator", 'call = ""', "not a call sign"),
        ("operator", 'cal = "KD7QSV"', "perhaps call"),
        ("operator", 'watts = "5"', "stands in [radio]"),
        ("operator", 'licence = "techncian"', "perhaps technician"),
        ("operator", 'rule = "moon"', "one of us, canada"),
        ("operator", "region = 4", "1 to 3"),
        ("operator", "interval_minutes = 11", "600 s"),
        ("operator", "interval_minutes = 0", "0.5"),
        ("operator", 'name = ""', "nothing is written"),
        ("operator", f'name = "{"n" * 61}"', "60"),
        ("operator", "name = true\nname = 'x'", "twice"),
        ("place", 'locator = "ZZ99"', "not a locator"),
        ("radio", "watts = 5,5", "decimal point"),
        ("radio", 'watts = "5,5"', "5.5"),
        ("radio", 'watts = "10w"', "without the unit"),
        ("radio", "watts = -5", "out of range"),
        ("radio", "watts = nan", "not a number"),
        ("radio", "watts = inf", "not a number"),
        ("radio", "watts = true", "not a number"),
        ("radio", "watts = [5]", "neither text nor a number"),
        ("radio", "watts = 2026-01-01", "neither text nor a number"),
        ("radio", "watts = " + "9" * 400, "not a number"),
        ("radio", "watts.much = 5", "a table"),
        ("radio", "transmit_amps = 0.3\nreceive_amps = 0.3", "not above"),
        ("radio", "watts =", "no value"),
        ("radio", "watts 5", "not a setting"),
        ("radio", "watts = 05", "begins with 0"),
        ("pack", 'chemistry = "nicd"', "one of lifepo4"),
        ("pack", "cells = 4.5", "whole number"),
        ("pack", "amp_hours = -20", "out of range"),
        ("amplifier", "watts = 0", "out of range"),
        ("line", 'cable = "RG-5"', "one of RG-174, RG-58"),
        ("line", "swr = 0.9", "1 to 100"),
        ("panel", "efficiency = 65", "a share"),
        ("kit", "items = []", "empty"),
        ("kit", "items = [['a']]", "neither text nor a number"),
        ("kit", 'items = ["' + "n" * 61 + '"]', "at most 60"),
        ("feeds", 'shunt = "ttyUSB0"', "not a port"),
        ("feeds", 'amps_positive_is = "in"', "charge, discharge"),
        ("screen", 'bell = "loud"', "true or false"),
        ("screen", 'units = "furlongs"', "km, mi"),
        ("screen", "keys = 5", "[screen.keys]"),
        ("screen.keys", '"Rub out" = "f5"', "not an action"),
        ("screen.keys", "note = 5", "no key"),
        ("packs", "cells = 4\nparallel = 2", "perhaps [pack]"),
        ("kitchen", "sink = 1", "one of [operator]"),
        ("[pack]", "cells = 4", "double brackets"),
        ("radio", "x" * 501, "500 characters"),
    ],
)
def test_a_bad_value_is_one_problem_and_the_good_ones_count(section: str, line: str, what: str) -> None:
    """Around every bad line stand good ones, and they load."""
    data = f'[place]\nname = "Flat"\n[{section}]\n{line}\n[feeds]\ngps = "/dev/ttyACM0"\n'.encode()
    if section in ("place", "feeds"):
        data = f"[pack]\nparallel = 3\n[{section}]\n{line}\n".encode()
    station, problems = read_station(data, "my.toml")
    assert len(problems) == 1
    assert what in problems[0].what
    assert problems[0].line in (3, 4, 5)
    assert problems[0].text.startswith(f"my.toml line {problems[0].line}: ")
    assert problems[0].text.isprintable()
    if section in ("place", "feeds"):
        assert station.pack.parallel == 3
    else:
        assert (station.place.name, station.feeds.gps) == ("Flat", "/dev/ttyACM0")


def test_problems_come_in_the_order_of_the_file() -> None:
    _, problems = read_station(
        b"x = 1\n[radio]\nwats = 5\nwatts = 'a'\noperator = 5\n[pack]\ncells = 0\n", "s"
    )
    assert [problem.line for problem in problems] == [1, 3, 4, 5, 7]


@pytest.mark.parametrize(
    ("data", "what"),
    [
        (b"watts = 5\n", "write it below [radio]"),
        (b"zzz = 5\n", "take it out"),
        (b"radio = 5\n", "write [radio] on a line of its own"),
    ],
)
def test_a_key_outside_the_sections_says_where_it_belongs(data: bytes, what: str) -> None:
    (problem,) = read_station(data, "s")[1]
    assert what in problem.what


def test_a_rule_without_an_interval_takes_any() -> None:
    """The United Kingdom sets no interval (regulator's guidance), so one of 12 minutes is no fault."""
    station, problems = read_station(b"[operator]\nrule = 'uk'\ninterval_minutes = 12\n", "s")
    assert (station.operator.interval_minutes, problems) == (12.0, ())


def test_a_call_of_an_odd_shape_is_taken() -> None:
    """Administrations issue more than the rules of formation foresee: no shape is a reason to refuse."""
    station, problems = read_station(b"[operator]\ncall = 'VE7QRZ/W7/P'\noperator_call = '3DA0QSL'\n", "s")
    assert (station.operator.call, station.operator.operator_call, problems) == ("VE7QRZ/W7/P", "3DA0QSL", ())


def test_values_over_several_lines_and_dotted_keys_are_read_as_toml_has_it() -> None:
    station, problems = read_station(b'radio.watts = 5\n[operator]\nname = """\nRosa"""\n', "s")
    assert (station.radio.watts, station.operator.name, problems) == (5.0, "Rosa", ())


def test_a_huge_file_is_refused_whole() -> None:
    station, (problem,) = read_station(b"#" * (MOST_BYTES + 1), "s")
    assert station == Station()
    assert problem.line is None
    assert "kB" in problem.text


def test_every_setting_has_its_field_and_every_field_its_setting() -> None:
    declared = [(setting.section, setting.key) for setting in SETTINGS]
    assert len(set(declared)) == len(declared)
    there = [
        (part.name, each.name) for part in fields(Station) for each in fields(getattr(Station(), part.name))
    ]
    assert sorted(there) == sorted([*declared, ("screen", "keys")])
    assert list(SECTIONS) == [part.name for part in fields(Station)]


def test_every_flag_is_its_own() -> None:
    assert len({setting.flag for setting in SETTINGS}) == len(SETTINGS)


def test_every_example_in_the_file_is_good() -> None:
    """With each `# key = example` made live, the file has no problem and every key has a value."""
    lines = station_text(Station()).split("\n")
    live = "\n".join(
        line.removeprefix("# ") if " = " in line and line.startswith("# ") else line for line in lines
    )
    station, problems = read_station(live.encode(), "s")
    assert problems == ()
    assert all(value is not None for values in as_mapping(station).values() for value in values.values())


def test_a_written_file_has_a_comment_above_every_key() -> None:
    lines = station_text(STATION).split("\n")
    for section, values in as_mapping(STATION).items():
        for key in values:
            written = [
                at for at, line in enumerate(lines) if line.startswith((f"{key} = ", f"[{section}.{key}]"))
            ]
            assert written, key
            assert all(lines[at - 1].startswith("# ") for at in written)


def test_a_written_file_is_toml_for_anyone() -> None:
    """The standard library reads the same values."""
    assert tomllib.loads(station_text(STATION)) == {
        section: dict(values.items()) for section, values in as_mapping(STATION).items()
    }


def test_the_file_is_named_by_the_environment(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", "/somewhere/config")
    monkeypatch.delenv("FIELDTUI_STATION", raising=False)
    assert station_path() == Path("/somewhere/config/fieldtui/station.toml")
    monkeypatch.delenv("XDG_CONFIG_HOME")
    monkeypatch.setenv("HOME", "/home/rosa")
    assert station_path() == Path("/home/rosa/.config/fieldtui/station.toml")
    monkeypatch.setenv("FIELDTUI_STATION", "~/portable.toml")
    assert station_path() == Path("/home/rosa/portable.toml")


@pytest.mark.parametrize(
    ("channels", "path"), [("trip.csv", "/etc/x/trip.csv"), ("/tmp/trip.csv", "/tmp/trip.csv")]
)
def test_a_plan_is_looked_for_beside_the_station_file(channels: str, path: str) -> None:
    assert channels_path(channels, Path("/etc/x/station.toml")) == Path(path)
