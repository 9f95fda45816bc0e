"""What a loaded voltage tells of the charge: never too much, against the published curves and a simulated pack."""

from __future__ import annotations

from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldtui.demo.physical_pack import PhysicalPack
from fieldtui.journal.events import PackStated
from fieldtui.power.charge import CONTRADICTED, ChargeEstimator
from fieldtui.power.packs import chemistries, make_pack
from fieldtui.power.rest_bounds import RestBounds, RestBoundsWatch
from fieldtui.session.recording.battery import BatteryRecorder, Sample
from tests.session.making_lines import Outing, opened

LFP = make_pack("lifepo4", 7, 4, 2)


def held(pack, volts: float, amps: float, seconds: int = 130, *, sending: bool = False) -> RestBounds | None:
    """What so many seconds of the same reading come to, a line every ten seconds."""
    watch, last = RestBoundsWatch(pack), None
    for second in range(0, seconds, 10):
        told = watch.take(second, volts, amps, sending=sending, resistance=None)
        last = told or last
    return last


@given(
    kind=st.sampled_from(chemistries()), data=st.data(), percent=st.floats(0.5, 99.5),
    load=st.floats(0.0, 0.1), resistance=st.floats(0.0, 0.35), slow=st.floats(0.0, 0.2),
)  # fmt: skip
@settings(deadline=None, max_examples=300)
def test_no_published_curve_has_its_charge_above_the_bound(
    kind, data: st.DataObject, percent: float, load: float, resistance: float, slow: float
) -> None:
    """A pack of any table, under a light load, with the resistance and the slow part of a bad one."""
    curve = data.draw(st.sampled_from(kind.curves))
    # Below its first row, and above its last, a table says nothing.
    percent = min(max(percent, curve.percents[0]), curve.percents[-1])
    pack = make_pack(kind.name, 10.0)
    volts = pack.cells * (curve.volts_at(percent) - load * (resistance + slow))
    told, estimator = held(pack, volts, -10.0 * load), ChargeEstimator(pack)
    assert told is not None
    estimator.limit(told)
    band = estimator.estimate()
    assert band.low_percent <= percent <= band.high_percent + 0.1


def test_a_low_voltage_moves_the_charge_and_an_over_does_not() -> None:
    """10.58 V under 0.45 A is nearly empty by every table (10 percent is 11.9 V and more)."""
    estimator = ChargeEstimator(LFP, start_percent=60)
    told = held(LFP, 10.58, -0.45)
    assert told is not None
    estimator.limit(told)
    band = estimator.estimate()
    assert (band.low_percent, band.high_percent) == (0, 10)
    assert band.note == CONTRADICTED
    assert held(LFP, 10.58, -0.45, sending=True) is None
    assert held(LFP, 10.58, -8.0) is None, "a load that pulls the volts down says nothing of the charge"
    assert held(LFP, 10.58, -0.45, seconds=50) is None, "it must have held"


def test_the_low_end_never_rises() -> None:
    """Good volts under load prove no charge that was not counted."""
    told = held(LFP, 13.35, -0.45)
    assert told is not None
    estimator = ChargeEstimator(LFP, start_percent=30)
    before = estimator.estimate()
    estimator.limit(told)
    assert estimator.estimate().low_percent <= before.low_percent


def test_volts_that_came_back_take_a_wrong_bound_back() -> None:
    """A loose wire showed 10.58 V: 13.3 V under load cannot be a pack of ten percent, and the doubt is said."""
    estimator = ChargeEstimator(LFP, start_percent=60)
    for volts in (10.58, 13.3):
        told = held(LFP, volts, -0.45)
        assert told is not None
        estimator.limit(told)
    band = estimator.estimate()
    assert (band.low_percent, band.high_percent, band.note) == (0, 100, CONTRADICTED)


def test_a_charger_lifts_the_terminals_and_proves_nothing() -> None:
    told = held(LFP, 13.4, 1.0)
    assert told is not None
    assert told.at_least is None


@pytest.mark.parametrize("seed", range(12))
def test_the_truth_stays_inside_through_a_discharge_told_line_by_line(seed: int) -> None:
    """From anywhere to empty, with overs, through recorder and fold; the pack may hold a tenth more or less."""
    dice = Random(seed)
    rated, start = dice.choice([2.5, 7.0, 12.0]), dice.uniform(15, 100)
    true_part = dice.uniform(0.92, 1.08)
    pack = PhysicalPack(
        rated * true_part, internal_ohms=dice.uniform(0.02, 0.09), charge_percent=start, seed=seed
    )
    stated = dice.choice([None, start])
    outing = Outing().add(
        opened(), PackStated(chemistry="lifepo4", amp_hours=rated, cells=4, start_percent=stated)
    )
    state, seen = outing.state, len(outing.lines)
    recorder, second, until, sending = BatteryRecorder("shunt"), 0, 0, False
    widest = 0.0
    while pack.charge_percent > 1 and second < 4 * 3600:
        if second >= until:
            sending = not sending and dice.random() < 0.4
            until = second + dice.randrange(8, 60 if sending else 240)
        load = rated * (0.7 if sending else 0.05) + abs(dice.gauss(0, 0.02))
        volts, amps = pack.step(load, 1.0)
        second += 1
        outing.seconds = float(second)
        outing.add(*recorder.offer(Sample(float(second), volts, amps)))
        state.apply_all(outing.lines[seen:])
        seen = len(outing.lines)
        if second % 97 == 0 and (charge := state.power.view(float(second)).charge):
            true = pack.charge_percent
            assert charge.low_percent - 0.5 <= true <= charge.high_percent + 0.5, (second, charge)
            widest = max(widest, charge.width)
    assert widest > 0
    if pack.charge_percent <= 1:
        end = state.power.view(float(second)).charge
        assert end is not None
        assert end.high_percent < 40 or stated is None


def test_the_hours_follow_the_volts_down() -> None:
    """On the screen of a station whose pack stands at 10.58 V: no hours that nobody has."""
    outing = Outing().add(opened(), PackStated(chemistry="lifepo4", amp_hours=7.0, cells=4, parallel=2))
    recorder, hours = BatteryRecorder("shunt"), []
    for second in range(420):
        volts = 13.2 if second < 180 else 10.58
        outing.seconds = float(second)
        outing.add(*recorder.offer(Sample(float(second), volts, -0.45)))
        if second in (179, 419):
            view = outing.state.power.view(float(second))
            assert view.hours is not None
            hours.append(view.hours.high)
    # A tenth of 14 Ah at 0.45 A less a tenth: 3.5 h at most, less what ran since; before, nine tenths: 28 h and more.
    assert hours[0] > 25
    assert hours[1] == pytest.approx(0.10 * 14 / (0.45 * 0.9), rel=0.03)
