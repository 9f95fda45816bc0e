"""Plan files as people make them: good lines load, each bad one is one problem with its line."""

from __future__ import annotations

import pytest

from fieldtui.radio.channels.plan import MOST_BYTES, Plan, read_plan


def lines_of(plan: Plan) -> list[int]:
    return [problem.line for problem in plan.problems]


TOML = b"""\
# Plan of a trip.
title = "Larkspur trip"

[[channel]]
name = "Marrow Ridge"
receive = 146.940       # output
shift = -0.6
tone = 88.5
mode = "fm"
step = 0.0125
notes = "closed on Sundays"

[[channel]]
receive = "146.52"
purpose = "Calling"

[[channel]]
name = "Pine Notch"
receive = 444.1
transmit = 449.1
dcs = "023"

[[channel]]
name = "Position packets"
receive = 144.39
mode = "packet"
purpose = "packet"
"""


def test_a_toml_plan_loads_with_everything_it_says() -> None:
    plan = read_plan(TOML, "trip.toml")
    assert plan.problems == ()
    assert plan.name == "Larkspur trip"
    ridge, calling, pine, packets = plan.channels
    assert (ridge.receive_hertz, ridge.transmit_hertz, ridge.tone_hertz) == (146_940_000, 146_340_000, 88.5)
    assert (ridge.mode, ridge.step_hertz, ridge.purpose, ridge.notes) == (
        "FM",
        12_500,
        "repeater",
        "closed on Sundays",
    )
    assert (calling.name, calling.purpose, calling.mode, calling.shift_hertz) == (
        "146.520",
        "calling",
        "FM",
        0,
    )
    assert (pine.transmit_hertz, pine.dcs, pine.tone_hertz, pine.purpose) == (
        449_100_000,
        "023",
        None,
        "repeater",
    )
    assert (packets.mode, packets.purpose) == ("PKT", "packet")
    assert [channel.number for channel in plan.channels] == [1, 2, 3, 4]


CSV_ROWS = "name,receive,transmit,shift,tone,dcs,mode,step,purpose,notes"


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "latin-1", "cp1252"])
def test_a_csv_plan_loads_whatever_wrote_it(delimiter: str, end: str, encoding: str) -> None:
    """Separators, line ends and encodings of spreadsheets all give the same plan."""
    rows = [CSV_ROWS.replace(",", delimiter).title(), delimiter.join(["Höhe", "145.600", "", "-0.6", "67"])]
    plan = read_plan(end.join([*rows, "", "# a remark"]).encode(encoding), "plan.csv")
    assert plan.problems == ()
    (channel,) = plan.channels
    assert (channel.name, channel.shift_hertz, channel.tone_hertz) == ("Höhe", -600_000, 67.0)
    assert plan.name == "plan.csv"


def test_columns_may_stand_in_any_order_and_quotes_hold_the_separator() -> None:
    plan = read_plan(b'notes,receive,name\n"north, then ""east""",146.52,Call\n', "plan.csv")
    assert plan.channels[0].notes == 'north, then "east"'
    assert plan.channels[0].name == "Call"


@pytest.mark.parametrize(
    ("name", "data"),
    [("plan", b"[[channel]]\nreceive = 146.52\n"), ("plan.txt", b"# x\n\nreceive,name\n146.52,A\n")],
)
def test_without_a_telling_name_the_content_tells_the_format(name: str, data: bytes) -> None:
    assert read_plan(data, name).nearest(146_520_000) is not None


def test_decimals_are_exact() -> None:
    """No float: 145.2375 MHz has no exact binary form, and 144.39125 is kept to the hertz."""
    plan = read_plan(b"[[channel]]\nreceive = 144.391251\nshift = 0.000001\n", "x.toml")
    assert plan.channels[0].receive_hertz == 144_391_251
    assert plan.channels[0].transmit_hertz == 144_391_252


def test_nothing_is_inferred_from_the_band() -> None:
    """A repeater output without a word about transmitting is simplex."""
    assert read_plan(b"receive\n146.940\n", "x.csv").channels[0].shift_hertz == 0


@pytest.mark.parametrize("shift", ["-0.6", "\u22120.6", "- 0.6", "-0.600000"])
def test_a_shift_is_read_with_any_minus(shift: str) -> None:
    plan = read_plan(f"receive,shift\n146.94,{shift}\n".encode(), "x.csv")
    assert plan.channels[0].transmit_hertz == 146_340_000


@pytest.mark.parametrize("shift", ["0", "0.0", "+0.000", ""])
def test_a_shift_of_nothing_is_simplex(shift: str) -> None:
    (channel,) = read_plan(f"receive,shift\n146.94,{shift}\n".encode(), "x.csv").channels
    assert (channel.shift_hertz, channel.purpose) == (0, "simplex")


def test_transmit_and_shift_may_agree() -> None:
    plan = read_plan(b"receive,transmit,shift\n146.94,146.34,-0.6\n", "x.csv")
    assert plan.channels[0].transmit_hertz == 146_340_000


@pytest.mark.parametrize(
    ("cells", "what", "accepted"),
    [
        ({"receive": ""}, "receive is missing", "145.25"),
        ({"receive": "146,94"}, "146,94", "point"),
        ({"receive": "0"}, "not a frequency", "145.25"),
        ({"receive": "inf"}, "not a frequency", "145.25"),
        ({"receive": "146.52 MHz"}, "not a frequency", "145.25"),
        ({"receive": "146520"}, "kilohertz", "146.520"),
        ({"receive": "146520000"}, "not a frequency", "145.25"),
        ({"receive": "300000.1"}, "300 GHz", "145.25"),
        ({"transmit": "x"}, "transmit", "145.25"),
        ({"shift": "minus"}, "shift", "-0.6"),
        ({"shift": "+600"}, "too large", "-0.6"),
        ({"shift": "-600"}, "too large", "-0.6"),
        ({"transmit": "146.34", "shift": "+0.6"}, "disagree", "one of them"),
        ({"tone": "88.4"}, "88.4", "88.5"),
        ({"tone": "1750"}, "1750", "254.1"),
        ({"dcs": "645"}, "645", "526"),
        ({"dcs": "9"}, "octal", "023"),
        ({"tone": "88.5", "dcs": "023"}, "both", "one of them"),
        ({"mode": "XYZ"}, "XYZ", "FM"),
        ({"receive": "7.1"}, "mode is missing", "29 MHz"),
        ({"step": "12.5"}, "too large", "0.0125"),
        ({"purpose": "repater"}, "repater", "repeater"),
        ({"purpose": "zzz"}, "zzz", "calling"),
        ({"name": "n" * 41}, "40", "fewer"),
        ({"notes": "n" * 301}, "300", "fewer"),
    ],
)
def test_each_bad_line_is_one_problem_and_the_good_ones_load(
    cells: dict[str, str], what: str, accepted: str
) -> None:
    """The same fault in CSV and in TOML: one problem, at its place, and the channels around it load."""
    rows = [{"receive": "146.52"}, {"name": "bad", "receive": "146.940", **cells}, {"receive": "146.55"}]
    columns = list(rows[1])
    in_csv = [columns, *([row.get(column, "") for column in columns] for row in rows)]
    plan = read_plan("\n".join(",".join(f'"{cell}"' for cell in line) for line in in_csv).encode(), "x.csv")
    assert lines_of(plan) == [3]
    assert what in plan.problems[0].what
    assert accepted in plan.problems[0].accepted

    in_toml = [["[[channel]]", *(f'{key} = "{value}"' for key, value in row.items())] for row in rows]
    other = read_plan("\n".join(line for table in in_toml for line in table).encode(), "x.toml")
    assert [(problem.what, problem.accepted) for problem in other.problems] == [
        (plan.problems[0].what, plan.problems[0].accepted)
    ]
    assert 3 <= other.problems[0].line <= 3 + len(columns)
    for read in (plan, other):
        assert [channel.receive_hertz for channel in read.channels] == [146_520_000, 146_550_000]
        assert [channel.number for channel in read.channels] == [1, 2]


BROKEN_TOML = b"""\
[[channel]]
name = "good"
receive = 146.52
[[channel]]
name = "no quote
receive = 146.55
[[channel]]
recieve = 146.58
[[channel]]
receive = 146.94
dcs = 023
[[channels]]
receive = 146.43
[[channel]]
receive = 146.46
receive = 146.49
[[channel]]
receive = [146.46]
[[channel]]
receive = 147.54
county = "Marrow"
[[channel]]
name = "long"
notes = \"\"\"
closed
on Sundays\"\"\"
receive = 147.55
"""


def test_a_toml_mistake_costs_its_own_table_only() -> None:
    """Each fault is told at the line where it stands, a table over several lines is sound."""
    plan = read_plan(BROKEN_TOML, "x.toml")
    assert lines_of(plan) == [5, 8, 11, 12, 16, 18, 21]
    assert [channel.name for channel in plan.channels] == ["good", "147.540", "long"]
    assert plan.channels[2].notes == "closed on Sundays"
    assert "perhaps receive" in plan.problems[1].accepted
    assert "[[channel]]" in plan.problems[3].accepted
    assert "passed over" in plan.problems[6].what


@pytest.mark.parametrize(
    ("data", "what"),
    [
        (b"", "no channel"),
        (b"# only remarks\n", "no channel"),
        (b"receive\n", "no channel"),
        (b"name,mode\nA,FM\n", "receive"),
        (b"A,146.52,FM\nB,146.55,FM\n", "columns are not named"),
        (b"receive,shfit\n146.94,-0.6\n", "shfit"),
        (b"receive,tone,tone\n146.94,67,67\n", "twice"),
        (b"\x00\x01\x02\xff", "receive"),
        ("receive\n146.52\n".encode("utf-16"), "UTF-16"),
        (b"x" * (MOST_BYTES + 1), "larger"),
        (b"receive\n" + b"\n" * 100_001, "lines"),
    ],
)
def test_a_file_that_is_no_plan_is_one_problem_at_the_top(data: bytes, what: str) -> None:
    plan = read_plan(data, "plan.csv")
    assert plan.channels == ()
    assert lines_of(plan) == [1]
    assert what in plan.problems[0].what


@pytest.mark.parametrize(
    ("data", "line", "what"),
    [
        (b"# x\nname = 'a'\n[[channel]]\nreceive = 146.52\n", 2, "before the first channel"),
        (b"channel = [{receive = 146.52}]\n", 1, "before the first channel"),
        (b"rubbish\n[[channel]]\nreceive = 146.52\n", 1, "rubbish"),
        (b"[owner]\nname = 'Rosa'\n[[channel]]\nreceive = 146.52\n", 1, "[owner]"),
    ],
)
def test_what_stands_before_the_channels_is_told_once(data: bytes, line: int, what: str) -> None:
    plan = read_plan(data, "plan.toml")
    assert lines_of(plan) == [line]
    assert what in plan.problems[0].what


def test_a_strange_column_is_passed_over_and_told() -> None:
    plan = read_plan(b"receive,county\n146.52,Marrow\n", "x.csv")
    assert len(plan.channels) == 1
    assert "county" in plan.problems[0].what


@pytest.mark.parametrize(
    ("line", "what"),
    [
        (b'146.55,"open', "not a CSV"),
        (b"146.55,a,b,c", "4 fields for 2 columns"),
        (b"146.55," + b"n" * 1000, "longer than"),
        (b"146.55,\x00\x1b[31m" + b"m" * 41, "40 characters"),
    ],
)
def test_a_line_that_is_no_row_costs_only_itself(line: bytes, what: str) -> None:
    """An open quote does not swallow the rest of the file."""
    plan = read_plan(b"receive,name\n146.52,A\n" + line + b"\n146.58,B\n", "x.csv")
    assert lines_of(plan) == [3]
    assert what in plan.problems[0].what
    assert [channel.name for channel in plan.channels] == ["A", "B"]


def test_control_characters_never_reach_a_channel() -> None:
    """Escapes, bidirectional overrides and breaks are replaced before anything is drawn."""
    plan = read_plan("receive,name,notes\n146.52,a\x1b[2Jb,x\u202ey\n".encode(), "x.csv")
    (channel,) = plan.channels
    assert channel.name == "a\ufffd[2Jb"
    assert channel.notes == "x\ufffdy"


def test_ten_thousand_lines_with_a_bad_one_in_twenty() -> None:
    """A byte-order mark, Latin-1, CRLF and 10,000 lines at once: every good line loads, every bad one is told."""
    rows = ["name,receive,shift"]
    for number in range(2, 10_002):
        rows.append(f"Höhe {number},{'x' if number % 20 == 0 else '146.94'},-0.6")
    data = "\r\n".join(rows).encode("latin-1")
    plan = read_plan(data, "big.csv")
    assert len(plan.channels) == 9500
    assert lines_of(plan) == list(range(20, 10_002, 20))
    with_mark = read_plan(b"\xef\xbb\xbf" + "\r\n".join(rows).encode(), "big.csv")
    assert (with_mark.channels, with_mark.problems) == (plan.channels, plan.problems)


def test_more_channels_than_anyone_has_are_cut_with_a_problem() -> None:
    plan = read_plan(b"receive\n" + b"146.52\n" * 20_005, "x.csv")
    assert len(plan.channels) == 20_000
    assert lines_of(plan) == [20_002]
