"""State of charge: bands from a rested voltage, and the interval that counting keeps."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldtui.demo.physical_pack import PhysicalPack
from fieldtui.power.charge import ChargeEstimator, charge_from_rest
from fieldtui.power.counting import Counter
from fieldtui.power.packs import chemistries, make_pack

LFP = make_pack("lifepo4", 20)


def test_ends_of_the_lfp_curve_tell_the_charge() -> None:
    full, empty = charge_from_rest("lifepo4", 4, 13.7), charge_from_rest("lifepo4", 4, 11.6)
    assert full.low_percent > 85
    assert empty.high_percent < 15
    assert "flat" not in full.note + empty.note


@given(data=st.data(), kind=st.sampled_from(chemistries()), cells=st.integers(1, 12))
@settings(deadline=None, max_examples=150)
def test_band_always_holds_what_each_published_table_says(data: st.DataObject, kind, cells: int) -> None:
    """Whatever the voltage, no table may put the charge outside the band that is shown."""
    cell = data.draw(st.floats(0.4 * kind.nominal_cell_volts, kind.limits.charge_cell_volts))
    band = charge_from_rest(kind, cells, cell * cells)
    assert 0 <= band.low_percent <= band.high_percent <= 100
    for curve in kind.curves:
        if curve.cell_volts[0] <= cell <= curve.cell_volts[-1]:
            assert band.low_percent - 0.1 <= curve.percent_at(cell) <= band.high_percent + 0.1


@given(kind=st.sampled_from(chemistries()), share=st.floats(0.75, 1.0), more=st.floats(0.0, 0.2))
@settings(deadline=None, max_examples=150)
def test_more_volts_never_mean_a_lower_band(kind, share: float, more: float) -> None:
    """Outside the plateau rule, both ends of the band rise with the voltage."""
    low, high = (share + extra for extra in (0.0, more))
    volts = [min(part, 1.0) * kind.limits.charge_cell_volts for part in (low, high)]
    if any(kind.on_plateau(cell) for cell in volts):
        return
    first, second = (charge_from_rest(kind, 4, 4 * cell) for cell in volts)
    assert first.low_percent <= second.low_percent + 0.1
    assert first.high_percent <= second.high_percent + 0.1


@pytest.mark.parametrize("volts", [26.4, 3.3, float("inf"), float("nan"), -12.0])
def test_volts_of_another_pack_are_refused_with_the_remedy(volts: float) -> None:
    with pytest.raises(ValueError, match="number of cells"):
        charge_from_rest("lifepo4", 4, volts)


def test_unknown_start_is_anything_and_says_so() -> None:
    band = ChargeEstimator(LFP).estimate()
    assert (band.low_percent, band.high_percent) == (0, 100)
    assert "not known" in band.note


def test_stated_start_less_the_count_lies_in_the_interval() -> None:
    """10 Ah out of 20 Ah from full is half, give or take the tolerance of the capacity."""
    estimator = ChargeEstimator(LFP, 100.0)
    estimator.count(10.0, 36000.0)
    band = estimator.estimate()
    assert band.low_percent < 50 < band.high_percent
    assert estimator.best_percent() == pytest.approx(50)
    assert band.width < 20


def test_charging_brings_it_back() -> None:
    estimator = ChargeEstimator(LFP, 50.0)
    estimator.count(-6.0, 7200.0)
    assert estimator.best_percent() == pytest.approx(80)


def test_flat_voltage_does_not_narrow_a_good_count() -> None:
    estimator = ChargeEstimator(LFP, 70.0)
    before = estimator.estimate()
    estimator.rested(13.2)
    assert estimator.estimate().width == pytest.approx(before.width, abs=0.1)


def test_steep_voltage_narrows_an_unknown_start() -> None:
    estimator = ChargeEstimator(LFP)
    band = estimator.rested(12.5)
    assert band.high_percent < 25
    assert "not known" not in band.note


def test_voltage_against_the_count_widens_and_says_so() -> None:
    estimator = ChargeEstimator(LFP, 90.0)
    band = estimator.rested(12.0)
    assert "contradicts" in band.note
    assert band.low_percent < 15
    assert band.high_percent > 90


def test_a_gap_widens_both_ends_and_is_stated() -> None:
    """The largest load seen may have gone on, or a charger that nobody saw."""
    with_gap, without = ChargeEstimator(LFP, 70.0), ChargeEstimator(LFP, 70.0)
    with_gap.count(2.0, 7200.0, 1800.0, load_amps=4.0)
    without.count(2.0, 7200.0)
    low, high = with_gap.estimate().low_percent, with_gap.estimate().high_percent
    assert low == pytest.approx(without.estimate().low_percent - 100 * 2.0 / 20 / 0.9)
    assert high == pytest.approx(without.estimate().high_percent + 100 * 5.0 / 20 / 0.9)
    assert "30 min without data" in with_gap.estimate().note


def test_after_a_lost_clock_nothing_is_known_until_the_pack_has_rested() -> None:
    estimator = ChargeEstimator(LFP, 70.0)
    estimator.count(2.0, 7200.0, times_lost=1)
    assert (estimator.estimate().low_percent, estimator.estimate().high_percent) == (0, 100)
    assert "clock was lost" in estimator.estimate().note
    assert estimator.rested(12.0).high_percent < 20


@pytest.mark.parametrize(
    ("kind", "cells", "volts"), [("lifepo4", 4, 17.0), ("li-ion", 4, 17.5), ("agm", 6, 16.3)]
)
def test_more_than_the_end_of_charge_is_refused_with_the_reason(kind: str, cells: int, volts: float) -> None:
    with pytest.raises(ValueError, match="disconnect the charger"):
        charge_from_rest(kind, cells, volts)


@given(kind=st.sampled_from(chemistries()), share=st.floats(0.5, 1.0))
def test_no_voltage_tells_a_charge_to_the_point(kind, share: float) -> None:
    assert charge_from_rest(kind, 4, 4 * share * kind.limits.charge_cell_volts).width >= 3


def test_shunt_is_believed_inside_the_interval_and_only_quoted_outside() -> None:
    estimator = ChargeEstimator(LFP, 80.0)
    estimator.shunt_says(82.0)
    assert estimator.best_percent() == 82.0
    estimator.shunt_says(30.0)
    assert estimator.best_percent() == pytest.approx(80.0)
    assert "shunt itself says 30 %" in estimator.estimate().note


def test_meter_alone_gives_an_estimate_wider_than_a_rested_reading() -> None:
    estimator = ChargeEstimator(LFP)
    band = estimator.metered(12.7)
    rested = charge_from_rest("lifepo4", 4, 12.7)
    assert band.high_percent > rested.high_percent
    assert band.low_percent == rested.low_percent
    assert "meter" in band.note


def test_meter_later_without_a_count_may_have_fallen_to_anything_its_volts_allow() -> None:
    estimator = ChargeEstimator(LFP, 95.0)
    assert estimator.metered(12.4).low_percent < 10


@pytest.mark.parametrize("percent", [-1.0, 101.0])
def test_impossible_start_is_refused(percent: float) -> None:
    with pytest.raises(ValueError, match="give 0 to 100"):
        ChargeEstimator(LFP, percent)


@pytest.mark.parametrize("seed", range(4))
def test_truth_stays_in_the_interval_through_a_simulated_session(seed: int) -> None:
    """Six hours on a physical pack of 5 % less than its rating: the truth never leaves the stated interval."""
    truth = PhysicalPack(19.0, charge_percent=92.0, seed=seed)
    counter, estimator = Counter(), ChargeEstimator(LFP, 95.0)
    for second in range(6 * 3600):
        load = 9.0 if second % 120 < 15 else 0.6
        volts, amps = truth.step(load, 1.0)
        counter.add(float(second), volts, amps)
        if second % 600 == 599:
            estimator.count(counter.amp_hours_net, counter.covered_seconds, counter.gap_seconds)
            band = estimator.estimate()
            assert band.low_percent <= truth.charge_percent <= band.high_percent


def test_the_gap_of_a_count_says_that_it_is_of_this_count_alone() -> None:
    """The session may hold more time without data than the count of charge, which a voltage begins again."""
    estimator = ChargeEstimator(LFP, 90.0)
    estimator.count(1.0, 3600.0, 600.0)
    estimator.full()
    estimator.count(1.5, 5400.0, 674.0)
    assert "74 s without data since this count of charge began" in estimator.estimate().note
