"""Overs are found in made-up traces whose truth is known, and nothing is found where nothing was sent.

The full count, with precision and recall over many more traces, is printed by tests/bench/bench_transmit.py.
"""

from __future__ import annotations

import pytest

from fieldtui.power.transmit import TransmitDetector
from tests.bench.bench_transmit import Score, detect, score
from tests.power.transmit_traces import make_trace


def test_nearly_every_over_longer_than_three_seconds_is_found():
    """Noise, sun, chargers, fans and voices at 1 to 10 samples a second.

    The benchmark counts 99 in a hundred over 64 traces; these eight hold three of the hardest, hence the margin.
    """
    total = Score()
    for seed in range(1000, 1008):
        trace = make_trace(seed, 15.0)
        score(trace, detect(trace), total)
    assert total.long_overs >= 100
    assert total.recall >= 0.97, total.missed
    assert total.precision >= 0.99, total.false


@pytest.mark.parametrize("seed", [5, 6])
def test_a_quiet_hour_holds_no_over(seed):
    """Everything that is not a transmitter goes on meanwhile."""
    assert detect(make_trace(seed, 60.0, quiet=True)) == []


def test_a_plain_over_is_dated_to_its_edges():
    """At a sample a second: receive 0.4 A, six seconds at 8 A, receive again."""
    detector = TransmitDetector()
    edges = []
    for second in range(60):
        amps = -8.0 if 30 <= second < 36 else -0.4
        edges += detector.feed(float(second), amps, 13.2 + 0.05 * amps)
    assert [edge.kind for edge in edges] == ["start", "end"]
    for edge, truth in zip(edges, (30.0, 36.0), strict=True):
        assert abs(edge.seconds - truth) <= 1.0
        assert abs(edge.seconds - truth) <= edge.uncertainty_seconds + 0.5
    assert detector.receive_amps == pytest.approx(-0.4, abs=0.05)
    assert not detector.sending


def test_the_same_samples_give_the_same_edges():
    """Deterministic: a replay shows what was seen on the hill."""
    trace = make_trace(7, 10.0)
    assert detect(trace) == detect(trace)
