"""The station as a chain, its kit list and its power plan, from the lines of a station file."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from fieldtui.planning.chain import chain_lines, chain_of
from fieldtui.planning.outing_power import Activity, outing_power, station_pack
from fieldtui.power.plan import Outing
from fieldtui.station.reading import Station, read_station

WHOLE = """
[radio]
watts = 5
receive_amps = 0.4
transmit_amps = 1.6
[pack]
chemistry = "lifepo4"
amp_hours = 16
[amplifier]
drive_watts = 4
watts = 50
transmit_amps = 9
standby_amps = 0.1
suppression_db = 60
[line]
db_per_100_metres = 20
metres = 10
switch_db = 1
swr = 1
[antenna]
gain_dbi = 6
height_metres = 7
[panel]
watts = 40
[loads]
computer_watts = 6.4
lamp_watts = 1.28
"""
START = datetime(2026, 6, 14, 17, 0, tzinfo=UTC)
HILL = (44.31, -121.40)


def station(text: str) -> Station:
    read, problems = read_station(text.encode(), "station.toml")
    assert problems == ()
    return read


def outing(hours: float, home_hours: float = 0.0, **more: float) -> Outing:
    end = START + timedelta(hours=hours)
    return Outing(START, end, *HILL, home=end + timedelta(hours=home_hours), **more)


def test_the_chain_adds_up_to_the_antenna() -> None:
    """50 W less 2 dB of cable and 1 dB of switch is 25.06 W; with 6 dBi 99.8 W EIRP (decibels added by hand)."""
    chain = chain_of(station(WHOLE), 146.52)
    assert (chain.amplified, chain.drive_watts, chain.watts) == (True, 4.0, 50.0)
    assert chain.loss_db == pytest.approx(3.0)
    assert chain.watts_at_antenna == pytest.approx(25.059, abs=0.001)
    assert chain.eirp_watts == pytest.approx(99.763, abs=0.001)
    assert chain.erp_watts == pytest.approx(60.81, abs=0.01)
    assert chain.transmit_amps == pytest.approx(10.6)
    assert chain.receive_amps == pytest.approx(0.5)
    assert chain.height_metres == 7.0
    assert chain.suppression_db == 60.0
    assert chain.assumed == ()


def test_without_its_amplifier_the_radio_alone_counts() -> None:
    chain = chain_of(station(WHOLE), 146.52, amplified=False)
    assert (chain.amplified, chain.watts, chain.drive_watts, chain.suppression_db) == (False, 5.0, None, None)
    assert chain.transmit_amps == pytest.approx(1.7)


def test_an_amplifier_that_is_not_described_cannot_be_switched_on() -> None:
    chain = chain_of(station("[radio]\nwatts = 5\n"), amplified=True)
    assert (chain.amplified, chain.watts) == (False, 5.0)


def test_what_is_not_told_is_assumed_in_words_or_left_open() -> None:
    chain = chain_of(Station())
    assert (chain.watts, chain.eirp_watts, chain.transmit_amps, chain.receive_amps) == (
        None,
        None,
        None,
        None,
    )
    assert (chain.loss_db, chain.gain_dbi) == (0.0, 2.15)
    told = " ".join(chain.assumed)
    assert all(word in told for word in ("[line]", "gain", "[radio]"))
    assert chain_lines(chain) == ()


def test_a_cable_of_the_table_loses_more_at_a_higher_frequency_and_with_a_worse_match() -> None:
    text = '[radio]\nwatts = 50\n[line]\ncable = "RG-58"\nmetres = 10\nswr = {}\n'
    low, high = (chain_of(station(text.format(1)), mhz) for mhz in (146.0, 446.0))
    bad = chain_of(station(text.format(3)), 146.0)
    assert low.loss_db < bad.loss_db < high.loss_db
    assert low.least_loss_db < low.loss_db


def test_the_plan_of_an_outing_counts_every_load() -> None:
    """11 h: listening 0.5 A, sending 10 % of 10.1 A above that, computer 0.5 A: 2.01 A x 12.8 V x 11 h, by hand."""
    plan = outing_power(station(WHOLE), outing(11), Activity(transmit_percent=10))
    assert {load.name for load in plan.loads} == {"listening", "sending", "computer", "lamp"}
    assert plan.without_sun.load_watt_hours == pytest.approx(2.01 * 12.8 * 11, rel=0.001)
    assert plan.assumed == ()


def test_the_sun_makes_the_difference_between_enough_and_not() -> None:
    """A pack of 205 Wh against 283 Wh of load: not without the panel; a large panel carries it."""
    large = WHOLE.replace("[panel]\nwatts = 40", "[panel]\nwatts = 200")
    plan = outing_power(station(large), outing(11), Activity(transmit_percent=10))
    assert plan.without_sun.verdict == "not enough"
    assert plan.without_sun.runs_out_at is not None
    assert plan.with_sun.verdict == "enough"
    assert plan.with_sun.runs_out_at is None
    assert plan.with_sun.margin_hours.low > 0


def test_a_voice_in_one_sideband_draws_less_than_a_carrier() -> None:
    fm, ssb = (
        outing_power(station(WHOLE), outing(4), Activity(20, mode)).without_sun.load_watt_hours
        for mode in ("FM", "SSB")
    )
    assert ssb < fm


def test_the_lamp_burns_only_in_the_dark_and_listening_goes_on_until_home() -> None:
    """Dusk at this place is 04:26 UTC (NREL algorithm, to a minute): from 05:00 on it is dark."""
    plan = outing_power(station(WHOLE), outing(11, 3), Activity(0)).without_sun
    by_start = {hour.start.hour: hour for hour in plan.hours}
    assert by_start[5].dark
    assert not by_start[20].dark
    assert by_start[5].on_the_way
    assert by_start[5].load_watt_hours == pytest.approx((0.5 + 0.1) * 12.8)
    assert by_start[20].load_watt_hours == pytest.approx((0.5 + 0.5) * 12.8)


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("[radio]\nreceive_amps = 1\n", "under [pack]"),
        ('[pack]\nchemistry = "agm"\namp_hours = 20\n', "under [radio]"),
    ],
)
def test_what_is_missing_is_named_by_its_key(text: str, key: str) -> None:
    with pytest.raises(ValueError, match="set ") as refusal:
        outing_power(station(text), outing(4), Activity())
    assert key in str(refusal.value)


def test_a_pack_of_the_station_file_has_the_usual_cells() -> None:
    pack = station_pack(station('[pack]\nchemistry = "agm"\namp_hours = 20\nparallel = 2\n'))
    assert (pack.cells, pack.total_amp_hours) == (6, 40.0)


def test_a_chain_is_told_with_what_was_assumed() -> None:
    lines = chain_lines(chain_of(station("[radio]\nwatts = 50\nreceive_amps = 0.4\n"), 146.0))
    told = "\n".join(lines)
    assert "50 W into the line" in told
    assert "82 W EIRP" in told
    assert "0.4 A listening" in told
    assert "no cable" in told
