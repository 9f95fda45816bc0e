"""`fieldtui calc` sun, antenna, line, level, exposure and spurious, as a person and a script meet them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldtui.cli.numbers import keep_text

CONTRACT = {
    "sun CN94hb --on 2026-06-14 --panel-watts 20": "dawn sunrise noon sunset dusk panel_watt_hours",
    "antenna --mhz 146 --kind quarter --velocity 0.95": "metres",
    "line --mhz 146 --cable RG-58 --metres 10 --swr 2": "loss_db matched_loss_db return_loss_db watts_out_percent",
    "level --watts 5 --mhz 146": "watts dbm s_units over_s9_db",
    "exposure --mhz 146 --watts 50 --gain-dbi 2.15 --mode FM --transmit-percent 50 --loss-db 1 --ground 4": (
        "average_watts eirp_watts limit_general_mw_cm2 limit_controlled_mw_cm2 distance_general_m "
        "distance_controlled_m near_field_m verdict_possible"
    ),
    "spurious --mhz 146 --watts 50 --suppression-db 40": (
        "limit_dbc limit_watts measured_watts within filter_db_needed source"
    ),
}
STATION = """
[place]
locator = "CN94hb"
[radio]
watts = 5
[amplifier]
watts = 50
[line]
cable = "RG-58"
metres = 10
swr = 1
[antenna]
gain_dbi = 6
"""


@pytest.mark.parametrize("line", CONTRACT)
def test_the_object_has_the_keys_that_scripts_rely_on(call, line: str) -> None:
    told = call("calc", *line.split(), "--json").object
    assert set(told) >= set(CONTRACT[line].split())


@pytest.mark.parametrize("line", CONTRACT)
def test_people_are_told_in_short_lines_that_begin_with_what_they_are(call, line: str) -> None:
    ended = call("calc", *line.split())
    assert (ended.code, ended.err) == (0, "")
    assert ended.out.split()[0] in ("2026-06-14,", "length", "line", "power", "sender", "signal")
    assert "nan" not in ended.out
    assert "None" not in ended.out


def test_a_day_in_america_ends_on_the_next_day_of_utc(call) -> None:
    """Sunset of 2026-06-21 near Golden: 02:32:15 UTC on the 22nd (roots of the NREL algorithm)."""
    told = call("calc", "sun", "39.742476,-105.1786", "--on", "2026-06-21", "--json").object
    assert told["sunset"].startswith("2026-06-22T02:32:1")
    assert told["sunrise"].startswith("2026-06-21T11:32:5")
    assert told["panel_watt_hours"] is None
    shown = call("calc", "sun", "39.742476,-105.1786", "--on", "2026-06-21").out
    assert "sunset    02:32 on 2026-06-22" in shown


def test_polar_night_is_an_answer(call) -> None:
    told = call("calc", "sun", "69.65,18.96", "--on", "2026-12-21", "--json", "--panel-watts", "20").object
    assert (told["sunrise"], told["sunset"], told["panel_watt_hours"]) == (None, None, 0)
    assert "polar night" in told["note"]
    assert told["dawn"] is not None


def test_a_southern_place_is_no_option(call) -> None:
    told = call("calc", "sun", "-33.87,151.21", "--on", "2026-03-20", "--json").object
    assert told["sunrise"].startswith("2026-03-19T19:57:5")


def test_a_panel_over_some_hours_brings_less_than_over_the_day(call) -> None:
    words = ("calc", "sun", "CN94hb", "--on", "2026-06-14", "--panel-watts", "20", "--json")
    day = call(*words).object
    part = call(*words, "--from", "17:00", "--until", "2300z").object
    assert (part["counted_from"], part["counted_until"]) == ("2026-06-14T17:00:00Z", "2026-06-14T23:00:00Z")
    assert 0 < part["panel_watt_hours"] < day["panel_watt_hours"]
    assert day["panel_watt_hours_low"] < day["panel_watt_hours"] < day["panel_watt_hours_high"]


def test_an_efficiency_is_a_share_or_per_cent(call) -> None:
    words = ("calc", "sun", "CN94hb", "--on", "2026-06-14", "--panel-watts", "20", "--json", "--efficiency")
    found = [call(*words, text).object["panel_watt_hours"] for text in ("0.65", "65", "65%")]
    assert len(set(found)) == 1


def test_a_match_has_no_return_loss_to_name(call) -> None:
    told = call(
        "calc", "line", "--mhz", "146", "--cable", "rg58", "--metres", "10", "--swr", "1", "--json"
    ).object
    assert told["return_loss_db"] is None
    assert told["loss_db"] == told["matched_loss_db"]


def test_a_data_sheet_wins_over_the_table(call) -> None:
    told = call(
        "calc",
        "line",
        "--mhz",
        "146",
        "--cable",
        "own",
        "--db-per-100-metres",
        "8.3",
        "--metres",
        "5",
        "--json",
    ).object
    assert told["loss_db"] == pytest.approx(0.415)


def test_beyond_the_table_it_says_so(call) -> None:
    assert "beyond it" in call("calc", "line", "--mhz", "1296", "--cable", "RG-58", "--metres", "5").out


def test_typed_dbm_stay_what_they_were(call) -> None:
    told = call("calc", "level", "--dbm", "-99", "--mhz", "146", "--json").object
    assert (told["dbm"], told["s_units"], told["over_s9_db"]) == (-99, 8, 0)


def test_exposure_cautions_and_defers(call) -> None:
    shown = call("calc", "exposure", "--mhz", "146", "--watts", "50").out
    assert "CAUTION" in shown
    assert "Local law" in shown
    assert "1.1310" in shown


@given(st.floats(0.001, 1000))
def test_a_distance_to_keep_is_never_told_shorter_than_it_is(metres: float) -> None:
    told = float(keep_text(metres).removesuffix(" m"))
    assert told >= metres - 1e-6
    assert told <= metres * 1.11 + 0.01


@pytest.mark.parametrize("more", [("--handheld",), ("--metres", "0.2"), ("--metres", "5", "--handheld")])
def test_no_verdict_where_the_equations_prove_nothing(call, more: tuple[str, ...]) -> None:
    words = ("calc", "exposure", "--mhz", "146", "--watts", "5", *more)
    assert call(*words, "--json").object["verdict_possible"] is False
    assert "no verdict" in call(*words).out.lower()


@pytest.mark.parametrize(("metres", "within"), [("2", False), ("5", True)])
def test_a_distance_is_judged(call, metres: str, within: bool) -> None:
    """50 W into a dipole at 146 MHz: 2.89 m for everyone (OET Bulletin 65, worked)."""
    told = call("calc", "exposure", "--mhz", "146", "--watts", "50", "--metres", metres, "--json").object
    assert told["verdict_possible"] is True
    assert told["within_general"] is within
    assert told["within_controlled"] is True


def test_a_cycle_is_averaged_over_its_worst_window(call) -> None:
    """5 minutes on and 25 off: 5 of 6 minutes for the household, 5 of 30 for everyone."""
    told = call(
        "calc",
        "exposure",
        "--mhz",
        "146",
        "--watts",
        "60",
        "--on-minutes",
        "5",
        "--off-minutes",
        "25",
        "--json",
    ).object
    assert told["average_watts"] == pytest.approx(10)
    assert told["average_controlled_watts"] == pytest.approx(50)


def test_a_bare_share_of_the_time_may_come_in_one_piece(call) -> None:
    """10 % of 30 minutes are 3 minutes, half of the 6 over which a household is averaged (47 CFR 1.1310(e))."""
    words = ("calc", "exposure", "--mhz", "146", "--watts", "60")
    share = call(*words, "--transmit-percent", "10", "--json").object
    cycle = call(*words, "--on-minutes", "3", "--off-minutes", "27", "--json").object
    for key in ("average_watts", "average_controlled_watts", "distance_general_m", "distance_controlled_m"):
        assert share[key] == cycle[key]
    most = call(*words, "--transmit-percent", "30", "--json").object
    assert most["average_controlled_watts"] == 60


def test_pauses_do_not_count_for_a_station_on_the_move(call) -> None:
    """47 CFR 1.1307(b)(2), 2.1093(d)(4): there only properties of the emission may be averaged."""
    words = ("calc", "exposure", "--mhz", "146", "--watts", "50")
    assert "1.1307(b)(2)" not in call(*words).out
    assert call(*words, "--json").object["note"] is None
    assert "1.1307(b)(2)" in " ".join(call(*words, "--transmit-percent", "50").out.split())
    assert "fixed station" in call(*words, "--on-minutes", "1", "--off-minutes", "9", "--json").object["note"]


def test_exposure_asks_the_station_file_for_what_is_left_open(run, tmp_path) -> None:
    """50 W out of the amplifier, 6 dBi, and the least loss that the cable may have."""
    (tmp_path / "my.toml").write_text(STATION)
    told = run(
        "calc", "exposure", "--mhz", "146", "--json", FIELDTUI_STATION=str(tmp_path / "my.toml")
    ).object
    assert told["average_watts"] == 50
    assert 130 < told["eirp_watts"] < 50 * 10**0.6
    sun = run(
        "calc", "sun", "--on", "2026-06-14", "--json", FIELDTUI_STATION=str(tmp_path / "my.toml")
    ).object
    assert sun["sunrise"].startswith("2026-06-14T12:2")


def test_harmonics_of_the_amplifier_count_too(call) -> None:
    words = ("calc", "spurious", "--mhz", "146", "--watts", "50", "--suppression-db", "60", "--json")
    assert call(*words).object["within"] is True
    both = call(*words, "--amplifier-suppression-db", "60").object
    assert both["within"] is False
    # Two equal voltages in step are 6.02 dB more than one.
    assert both["filter_db_needed"] == pytest.approx(6.02, abs=0.01)


@pytest.mark.parametrize(("suppression", "filter_db"), [("53", "7.0"), ("52.96", "7.1"), ("52.6", "7.4")])
def test_the_filter_that_is_asked_for_is_never_too_weak(call, suppression: str, filter_db: str) -> None:
    """47 CFR 97.307(e): 50 W ask for 60 dB; 7.04 dB are not 7.0."""
    told = call("calc", "spurious", "--mhz", "146", "--watts", "50", "--suppression-db", suppression).out
    assert f"filter of {filter_db} dB or more" in " ".join(told.split())


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("line --mhz 0 --cable RG-58 --metres 10", "0.1 to 3000 MHz"),
        ("line --mhz 146 --cable RG-5 --metres 10", "RG-174, RG-58"),
        ("line --mhz 146 --cable RG-58 --metres 10 --swr 0.5", "SWR of 0.5"),
        ("line --mhz 146 --cable RG-58 --metres -10", "length of -10 m"),
        ("line --mhz 146 --cable own --metres 10", "belong together"),
        ("line --mhz 146,52 --cable RG-58 --metres 10", "146.52"),
        ("antenna --mhz 0", "0 MHz"),
        ("antenna --mhz 146 --kind whole", "quarter, half, five-eighths"),
        ("level", "--watts"),
        ("level --watts 0", "more than 0"),
        ("level --watts 5 --dbm 37", "not allowed with"),
        ("exposure --mhz 146", "--watts"),
        ("exposure --mhz 0 --watts 5", "0 MHz"),
        ("exposure --mhz 146 --watts 5 --mode HORN", "not a known mode"),
        ("exposure --mhz 146 --watts 5 --ground 3", "1, 2.56, 4"),
        ("exposure --mhz 146 --watts 5 --limits moon", "use one of us"),
        ("exposure --mhz 146 --watts 5 --transmit-percent 101", "0 to 100"),
        ("exposure --mhz 146 --watts 5 --on-minutes 5", "together"),
        ("exposure --mhz 146 --watts 5 --metres 0", "more than 0"),
        ("exposure --mhz 0.1 --watts 5", "do not cover"),
        ("spurious --mhz 0 --watts 5 --suppression-db 40", "0 MHz"),
        ("spurious --mhz 146 --watts 5 --suppression-db -40", "how far below"),
        ("sun", "PLACE"),
        ("sun nowhere", "a locator has"),
        ("sun 95,0", "latitude"),
        ("sun CN94 --on 2026-02-30", "not a date"),
        ("sun CN94 --on yesterday", "not a date"),
        ("sun CN94 --on 3026-01-01", "1901 to 2099"),
        ("sun CN94 --panel-watts -5", "rating"),
        ("sun CN94 --panel-watts 20 --efficiency 0", "efficiency"),
        ("sun CN94 --efficiency 0.5", "--panel-watts"),
        ("sun CN94 --panel-watts 20 --cell-celsius 60", "--efficiency"),
        ("sun CN94 --from 25:00", "is not a time"),
    ],
)
def test_a_wrong_call_is_one_line_that_says_what_to_do(call, line: str, words: str) -> None:
    ended = call("calc", *line.split())
    assert ended.code == 2
    assert words in ended.complaint
