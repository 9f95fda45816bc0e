"""Overs beside laptops, lamps and fans: none is invented, none is lost."""

from __future__ import annotations

import pytest

from fieldtui.power.transmit.detector import TransmitDetector
from tests.bench.bench_transmit import Score, detect, score
from tests.power.gap_sessions import gap_session
from tests.power.other_loads import make_mix


def test_overs_beside_other_loads_of_any_size() -> None:
    total = Score()
    for seed in range(1000, 1027):
        trace = make_mix(seed)
        score(trace, detect(trace), total)
    assert total.recall >= 0.98, total.missed
    assert total.precision >= 0.98, total.false


@pytest.mark.parametrize("amps", [1.2, 1.6, 2.2, 3.5])
def test_a_known_step_helps_from_the_first_over_on(amps: float) -> None:
    """A laptop is on for good before the first over: eight overs of the known step are found all the same."""
    detector = TransmitDetector(usual_step_amps=9.0)
    starts = [
        edge.seconds
        for second in range(900)
        for edge in detector.feed(
            float(second), -0.45 - amps * (second >= 30) - 9 * (second % 90 >= 60 and second % 90 < 80)
        )
        if edge.kind == "start"
    ]
    assert len(starts) == 10
    assert all(abs(start - 59.5 - 90 * number) <= 1 for number, start in enumerate(starts))


@pytest.mark.parametrize("charger", [False, True])
def test_the_true_charge_lies_in_the_interval_whatever_ran_in_gaps(charger: bool) -> None:
    """In 98 of 100 sessions at least: a load that was never seen before may be larger than all that were."""
    inside = 0
    for seed in range(500):
        truth, band = gap_session(seed, gaps=True, charger=charger)
        inside += band.low_percent - 0.01 <= truth <= band.high_percent + 0.01
    assert inside >= 490
