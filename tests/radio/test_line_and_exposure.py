"""Feed line, exposure and spurious emissions: what holds for any numbers, what is refused, what is never claimed."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldtui.data.tables import load_toml
from fieldtui.radio.antenna import antenna_length
from fieldtui.radio.exposure import (
    GROUND_FACTORS,
    Sender,
    average_watts,
    density_mw_cm2,
    exemption_erp_watts,
    exposure,
    limit_names,
    limits,
    mode_duty,
    near_field_metres,
    worst_seconds_on,
)
from fieldtui.radio.feed_line import (
    cable,
    cables,
    line_loss,
    loss_with_swr_db,
    own_cable_loss_db,
    reflection_of_swr,
    swr_of_powers,
    swr_of_reflection,
)
from fieldtui.radio.level import (
    dbd_of_dbi,
    dbi_of_dbd,
    dbm_of_watts,
    microvolts_of_watts,
    signal_of_dbm,
    watts_of_dbm,
    watts_of_microvolts,
)
from fieldtui.radio.spurious import spurious, spurious_limit, together_db

US = limits("us")
CABLES = st.sampled_from(cables())
MHZ, SWR = st.floats(0.1, 3000), st.floats(1, 1000)


# Feed line


@pytest.mark.parametrize("name", ["RG-58", "rg58", "Rg 58", "RG-58 "])
def test_a_cable_is_found_however_it_is_written(name: str) -> None:
    assert cable(name).name == "RG-58"


def test_an_unknown_cable_is_refused_with_all_that_are_known() -> None:
    with pytest.raises(ValueError, match="not in the table") as refusal:
        cable("RG-5\x1b[2J")
    assert all(each.name in str(refusal.value) for each in cables())
    assert "\x1b" not in str(refusal.value)


def test_every_cable_meets_what_is_printed_of_it_elsewhere() -> None:
    """Points that the curve was not drawn through, within the spread between makers."""
    table = load_toml("cables.toml")
    checked = 0
    for row in table["cable"]:
        for mhz, loss in row["further"]:
            found = cable(row["name"]).matched_loss_db(mhz, 30.48)
            assert found == pytest.approx(loss, rel=table["spread_percent"] / 100)
            checked += 1
    assert checked >= 4


@given(CABLES, MHZ, st.floats(0, 1000), SWR)
def test_a_mismatch_never_makes_a_line_better(kind, mhz: float, metres: float, swr: float) -> None:
    loss = line_loss(kind.matched_loss_db(mhz, metres), swr, kind.spread)
    assert 0 <= loss.matched_loss_db <= loss.loss_db + 1e-9
    assert loss.low_db - 1e-9 <= loss.loss_db <= loss.high_db + 1e-9
    assert 0 <= loss.watts_out_percent <= 100
    assert 1 <= loss.swr_at_radio <= swr + 1e-6


@given(SWR)
def test_swr_and_reflection_are_two_words_for_one_thing(swr: float) -> None:
    assert swr_of_reflection(reflection_of_swr(swr)) == pytest.approx(swr)


@given(st.floats(1e-30, 1e9), st.floats(-60, 60))
def test_units_of_power_come_back(watts: float, gain: float) -> None:
    assert watts_of_dbm(dbm_of_watts(watts)) == pytest.approx(watts)
    assert dbi_of_dbd(dbd_of_dbi(gain)) == pytest.approx(gain)
    if watts < 1e4:
        assert watts_of_microvolts(microvolts_of_watts(watts)) == pytest.approx(watts)


@given(st.floats(-200, 50), st.floats(0.01, 30))
def test_a_stronger_signal_is_never_fewer_s_units(dbm: float, more: float) -> None:
    weak, strong = signal_of_dbm(dbm), signal_of_dbm(dbm + more)
    assert (weak.s_units, weak.over_s9_db) <= (strong.s_units, strong.over_s9_db)
    assert 0 <= weak.s_units <= 9


def test_five_microvolts_are_s9_as_the_recommendation_says() -> None:
    """IARU Region 1 R.1 names both -93 dBm and 5 microvolts, which are -93.01 dBm."""
    assert signal_of_dbm(dbm_of_watts(watts_of_microvolts(5))).text == "S9"
    assert signal_of_dbm(-73).text == "S9 + 20 dB"


# Exposure


SENDERS = st.builds(
    Sender,
    mhz=st.floats(1.8, 10_000),
    watts=st.floats(0.001, 1500),
    gain_dbi=st.floats(-10, 24),
    loss_db=st.floats(0, 10),
    duty=st.floats(0, 1),
    general_share=st.floats(0, 1),
    controlled_share=st.floats(0, 1),
    ground=st.sampled_from(sorted(GROUND_FACTORS)),
    at_body=st.booleans(),
)


@given(SENDERS)
def test_no_verdict_is_given_in_the_near_field_or_at_the_body(sender: Sender) -> None:
    found = exposure(sender, US)
    near = near_field_metres(sender.mhz)
    for zone in (found.general, found.controlled):
        assert not (zone.proved and (sender.at_body or zone.distance_m < near))
    assert found.verdict_possible == found.general.proved
    assert found.keep_m >= near


@given(SENDERS)
def test_at_the_least_distance_the_density_is_the_limit(sender: Sender) -> None:
    """One equation the other way round, OET Bulletin 65."""
    general = exposure(sender, US).general
    if general.eirp_watts > 1e-12:
        density = density_mw_cm2(general.eirp_watts, general.distance_m, sender.ground)
        assert density == pytest.approx(general.limit_mw_cm2)


@given(st.floats(1.34, 100_000))
def test_the_limit_for_everyone_is_the_stricter_one(mhz: float) -> None:
    """But for the rule's own rounded edge: at 1.34 MHz its 180 / f^2 is a quarter per cent above 100."""
    assert US.general.mw_cm2(mhz) <= US.controlled.mw_cm2(mhz) * 1.003


@given(st.floats(0.3, 99_000))
def test_the_exemption_is_the_limit_with_all_of_the_ground(mhz: float) -> None:
    """47 CFR 1.1307(b)(3)(i)(C) follows from 1.1310 with full reflection; the printed factors are rounded."""
    metres = near_field_metres(mhz)
    erp = exemption_erp_watts(mhz, metres)
    assert erp is not None
    assert density_mw_cm2(erp * 1.64, metres, 4.0) == pytest.approx(US.general.mw_cm2(mhz), rel=0.01)
    assert exemption_erp_watts(mhz, metres * 0.99) is None


@given(
    st.floats(0, 100, allow_subnormal=False), st.floats(0, 100, allow_subnormal=False), st.floats(0.1, 100)
)
def test_the_worst_window_lies_between_the_mean_and_all_of_it(on: float, off: float, window: float) -> None:
    worst = worst_seconds_on(on, off, window)
    assert 0 <= worst <= window + 1e-9
    if on + off > 0:
        assert worst >= window * on / (on + off) - 1e-6


@pytest.mark.parametrize(
    ("mode", "processed", "duty"),
    [
        ("USB", False, 0.2),
        ("LSB", True, 0.5),
        ("SSB", False, 0.2),
        ("CW", False, 0.4),
        ("FM", False, 1.0),
        ("NFM", True, 1.0),
        ("RTTY", False, 1.0),
        ("FT8", False, 1.0),
        ("AM", False, 1.0),
    ],
)
def test_duty_of_a_mode(mode: str, processed: bool, duty: float) -> None:
    """OET Bulletin 65 Supplement B, table 2; whatever it does not name counts whole, and says so."""
    found, source = mode_duty(mode, processed=processed)
    assert found == duty
    named = mode in ("USB", "LSB", "SSB", "CW", "FM", "NFM", "RTTY")
    assert ("Supplement B" in source) == named


def test_every_set_of_limits_is_sourced_and_whole() -> None:
    assert limit_names() == ("us",)
    for name in limit_names():
        found = limits(name)
        assert found.source
        assert (found.general.averaging_minutes, found.controlled.averaging_minutes) == (30, 6)
        edges = [row[0] for row in found.general.rows]
        assert edges == sorted(edges)


# Spurious emissions


def test_a_handheld_that_is_good_alone_needs_a_filter_behind_it() -> None:
    """5 W with harmonics at 54 dB are within 25 microwatts; at 50 W the rule asks for 60 dB."""
    assert spurious(146.52, 5, 54).within is True
    behind = spurious(146.52, 50, 54)
    assert behind.within is False
    assert behind.filter_db_needed == pytest.approx(6.0)
    assert spurious(146.52, 50, 60).within is True


def test_above_225_mhz_no_figure_is_invented() -> None:
    found = spurious(446, 50, 40)
    assert (found.limit.watts, found.within, found.filter_db_needed) == (None, None, None)
    assert "97.307(c)" in found.limit.source


@given(st.floats(0.1, 225), st.floats(0.001, 1500), st.floats(0, 120))
def test_the_filter_that_is_asked_for_is_enough(mhz: float, watts: float, suppression: float) -> None:
    needed = spurious(mhz, watts, suppression).filter_db_needed
    assert needed is not None
    assert spurious(mhz, watts, min(200, suppression + needed + 1e-6)).within


@given(st.floats(0, 100), st.floats(0, 100))
def test_two_stages_together_are_worse_than_either(first: float, second: float) -> None:
    assert together_db(first, second) <= min(first, second) + 1e-9
    assert together_db(first, second) >= min(first, second) - 6.03


def test_the_table_of_the_law_says_how_well_it_is_known() -> None:
    assert spurious_limit(146, 50).status == "from memory"


# Refusals


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: cable("RG-58").matched_loss_db(0, 10),
        lambda: cable("RG-58").matched_loss_db(146, -1),
        lambda: cable("RG-58").matched_loss_db(float("nan"), 1),
        lambda: own_cable_loss_db(-1, 10),
        lambda: loss_with_swr_db(3, 0.9),
        lambda: loss_with_swr_db(3, float("nan")),
        lambda: loss_with_swr_db(-1, 2),
        lambda: swr_of_powers(2, 50),
        lambda: swr_of_powers(0, 0),
        lambda: swr_of_reflection(1),
        lambda: antenna_length(0, "half"),
        lambda: antenna_length(146, "double"),
        lambda: antenna_length(146, "half", 0),
        lambda: antenna_length(146, "half", 1.1),
        lambda: dbm_of_watts(0),
        lambda: watts_of_dbm(1e6),
        lambda: watts_of_microvolts(-5),
        lambda: signal_of_dbm(-99, 0),
        lambda: limits("moon"),
        lambda: US.general.mw_cm2(0.1),
        lambda: near_field_metres(0),
        lambda: density_mw_cm2(50, 0),
        lambda: average_watts(50, 1, 400, 360),
        lambda: exemption_erp_watts(0, 5),
        lambda: exposure(Sender(0, 50), US),
        lambda: exposure(Sender(146, 0), US),
        lambda: exposure(Sender(146, 50, loss_db=-3), US),
        lambda: exposure(Sender(146, 50, gain_dbi=float("nan")), US),
        lambda: exposure(Sender(146, 50, duty=1.2), US),
        lambda: exposure(Sender(146, 50, ground=3), US),
        lambda: spurious(0, 50, 60),
        lambda: spurious(146, 0, 60),
        lambda: spurious(146, 50, -1),
        lambda: together_db(40, float("nan")),
    ],
)
def test_what_cannot_be_is_refused_in_one_line_that_says_what_can(wrong) -> None:
    with pytest.raises(
        ValueError, match=r"give|use one of|lies between|must lie|look at|leave out|cover"
    ) as refusal:
        wrong()
    assert "\n" not in str(refusal.value)
