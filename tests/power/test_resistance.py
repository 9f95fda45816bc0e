"""Resistance from transmit steps: right on a physical pack, robust, honest about its uncertainty."""

from __future__ import annotations

from random import Random

import pytest

from fieldtui.demo.physical_pack import PhysicalPack
from fieldtui.power.packs import make_pack
from fieldtui.power.resistance import (
    Resistance,
    ResistanceEstimator,
    TransmitLoad,
    charge_at_minimum,
    expected_volts,
    hours_to_minimum,
    rested_volts,
    step_ohms,
)
from fieldtui.power.transmit.detector import TransmitDetector
from fieldtui.power.transmit.edges import Edge

LFP = make_pack("lifepo4", 20)


def measured(truth: PhysicalPack, rate: float, minutes: float) -> Resistance:
    """Resistance as the whole chain gives it: pack, shunt, detector, estimator."""
    detector, estimator = TransmitDetector(), ResistanceEstimator()
    for number in range(int(minutes * 60 * rate)):
        seconds = number / rate
        volts, amps = truth.step(9.0 if seconds % 90 > 70 else 0.6, 1 / rate)
        for edge in detector.feed(seconds, amps, volts):
            estimator.add_edge(edge)
    found = estimator.resistance()
    assert found is not None
    return found


@pytest.mark.parametrize("rate", [1.0, 5.0])
@pytest.mark.parametrize("ohms", [0.02, 0.06])
def test_resistance_of_a_physical_pack_is_found_within_ten_percent(ohms: float, rate: float) -> None:
    found = measured(PhysicalPack(20.0, internal_ohms=ohms, charge_percent=70.0, seed=3), rate, 20.0)
    assert found.ohms == pytest.approx(ohms, rel=0.10)
    assert found.uncertainty_ohms < 0.1 * ohms
    assert found.steps >= 20


def test_spoiled_steps_do_not_move_the_median() -> None:
    estimator = ResistanceEstimator()
    for number in range(30):
        bad = number % 5 == 0
        estimator.add_step(13.2, -0.6, 13.2 - (0.9 if bad else 0.36), -9.6)
    found = estimator.resistance()
    assert found is not None
    assert found.ohms == pytest.approx(0.04, rel=0.01)


def test_few_or_small_steps_give_no_figure() -> None:
    estimator = ResistanceEstimator()
    assert not estimator.add_step(13.2, -0.6, 13.19, -0.9)
    estimator.add_step(13.2, -0.6, 12.84, -9.6)
    assert estimator.resistance() is None


def test_edges_out_of_a_gap_or_without_volts_are_not_used() -> None:
    estimator = ResistanceEstimator()
    good = Edge("start", 1.0, 0.1, -9.6, -0.6, 13.2, 12.84)
    assert estimator.add_edge(good)
    assert not estimator.add_edge(Edge("end", 1.0, 9.0, -0.6, -9.6, 12.84, 13.2, cause="gap"))
    assert not estimator.add_edge(Edge("start", 1.0, 0.1, -9.6, -0.6, None, 12.84))


def test_no_change_of_load_is_refused() -> None:
    with pytest.raises(ValueError, match="two loads"):
        step_ohms(13.2, -1.0, 13.0, -1.0)


def test_a_contact_going_bad_is_said_with_the_remedy() -> None:
    estimator = ResistanceEstimator()
    for _ in range(12):
        estimator.add_step(13.2, -0.6, 13.2 - 9 * 0.04, -9.6)
    assert estimator.rising() is None
    for _ in range(5):
        estimator.add_step(13.2, -0.6, 13.2 - 9 * 0.09, -9.6)
    said = estimator.rising()
    assert said is not None
    assert "40 to 90 milliohms" in said
    assert "transmitter off" in said


def test_steps_of_a_shunt_that_is_backwards_show_it() -> None:
    estimator = ResistanceEstimator()
    for _ in range(4):
        estimator.add_step(13.2, 0.6, 12.84, 9.6)
    assert estimator.backwards()


def test_rested_and_loaded_volts_are_each_other_s_inverse() -> None:
    assert expected_volts(rested_volts(12.84, 0.04, -9.0), 0.04, -9.0) == pytest.approx(12.84)


def test_minimum_is_met_already_with_a_bad_lead() -> None:
    load = TransmitLoad(ohms=0.2, amps=-10.0, minimum_volts=11.7)
    assert charge_at_minimum(LFP, 60.0, 13.2, load) is None
    assert hours_to_minimum(LFP, 60.0, 13.2, load, -1.5) == 0.0


def test_charge_at_the_minimum_puts_the_loaded_volts_there() -> None:
    """At the charge told, the volts on transmit are the radio's minimum."""
    load = TransmitLoad(ohms=0.05, amps=-10.0, minimum_volts=11.7)
    at = charge_at_minimum(LFP, 60.0, LFP.rested_volts_at(60.0), load)
    assert at is not None
    assert 0 < at < 60
    assert expected_volts(LFP.rested_volts_at(at), load.ohms, load.amps) == pytest.approx(11.7, abs=0.02)
    hours = hours_to_minimum(LFP, 60.0, LFP.rested_volts_at(60.0), load, -1.5)
    assert hours == pytest.approx((60 - at) / 100 * 20 / 1.5)


def test_a_radio_content_with_little_never_meets_its_minimum() -> None:
    load = TransmitLoad(ohms=0.02, amps=-5.0, minimum_volts=7.0)
    assert charge_at_minimum(LFP, 60.0, 13.2, load) == 0.0


def test_a_pack_that_is_charged_has_no_time_to_the_minimum() -> None:
    assert hours_to_minimum(LFP, 60.0, 13.2, TransmitLoad(0.05, -10.0, 11.7), 0.5) is None


@pytest.mark.parametrize("steps", [3, 5, 16])
def test_the_truth_lies_within_what_is_shown_however_few_the_steps(steps: int) -> None:
    """Twice the uncertainty holds the truth in 95 of 100 stations, give or take what 600 of them can tell."""
    dice, held = Random(steps), 0
    for _ in range(600):
        estimator = ResistanceEstimator()
        for _ in range(steps):
            estimator.add_step(13.2, -0.5, 13.2 - 8 * 0.05 + dice.gauss(0, 0.03), -8.5)
        found = estimator.resistance()
        assert found is not None
        held += abs(found.ohms - 0.05) <= 2 * found.uncertainty_ohms
    assert held / 600 >= 0.93
