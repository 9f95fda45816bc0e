"""Transmissions out of the current: found, dated, never invented, never left open."""

from __future__ import annotations

import math
from itertools import pairwise
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldtui.demo.physical_pack import PhysicalPack
from fieldtui.power.transmit.detector import Edge, TransmitDetector
from tests.bench.bench_transmit import Score, detect, score
from tests.power.transmit_traces import make_trace
from tests.support.memory import held_bytes

RECEIVE, TRANSMIT = -0.6, -9.4


def fed(samples: list[tuple[float, float]], detector: TransmitDetector | None = None) -> list[Edge]:
    detector = detector or TransmitDetector()
    return [edge for seconds, amps in samples for edge in detector.feed(seconds, amps)]


def level(start: float, end: float, amps: float, rate: float = 2.0) -> list[tuple[float, float]]:
    return [(start + i / rate, amps) for i in range(round((end - start) * rate))]


def over(before: float, sent: float, after: float, rate: float = 2.0) -> list[tuple[float, float]]:
    return [
        *level(0, before, RECEIVE, rate),
        *level(before, before + sent, TRANSMIT, rate),
        *level(before + sent, before + sent + after, RECEIVE, rate),
    ]


def kinds(edges: list[Edge]) -> list[str]:
    return [f"{edge.kind} {edge.cause}" for edge in edges]


def test_forty_traces_with_known_truth() -> None:
    """Noise, sun, chargers, fans, loudspeakers, speech: 99 % of overs longer than 3 s, nothing invented."""
    total = Score()
    for seed in range(40):
        trace = make_trace(seed, minutes=6.0)
        score(trace, detect(trace), total)
    assert total.long_overs > 250
    assert total.recall >= 0.99, total.missed
    assert total.precision >= 0.99, total.false
    assert total.edges_within >= 0.95 * total.edges


@pytest.mark.parametrize("seed", range(1, 7))
def test_quiet_hour_has_no_over(seed: int) -> None:
    """An hour of receiving with sun, chargers, fans and loudspeaker tells nothing."""
    assert detect(make_trace(seed, minutes=60.0, quiet=True)) == []


@pytest.mark.parametrize("rate", [1.0, 2.0, 5.0, 10.0])
def test_plain_over_is_dated_within_its_uncertainty(rate: float) -> None:
    start, end = fed(over(30, 10, 20, rate))
    assert (start.kind, end.kind) == ("start", "end")
    assert abs(start.seconds - (30 - 0.5 / rate)) < 1e-6
    assert start.uncertainty_seconds == pytest.approx(0.5 / rate)
    assert end.seconds - start.seconds == pytest.approx(10)
    assert start.amps == pytest.approx(TRANSMIT)
    assert start.amps_before == pytest.approx(RECEIVE, abs=0.05)


def test_edges_carry_the_volts_on_both_sides() -> None:
    pack, detector = PhysicalPack(20.0, charge_percent=70.0, internal_ohms=0.05, seed=1), TransmitDetector()
    edges = []
    for number in range(200):
        volts, amps = pack.step(9.0 if 100 <= number < 140 else 0.6, 0.5)
        edges += detector.feed(number / 2, amps, volts)
    start, end = edges
    assert start.volts_before is not None
    assert start.volts_after is not None
    assert start.volts_before - start.volts_after == pytest.approx(8.4 * 0.05, abs=0.05)
    assert end.volts_before is not None
    assert end.volts_after is not None
    assert end.volts_after > end.volts_before


def test_receive_level_is_learned_and_sending_is_told() -> None:
    detector = TransmitDetector()
    assert detector.receive_amps is None
    fed(level(0, 20, RECEIVE), detector)
    assert detector.receive_amps == pytest.approx(RECEIVE)
    sending = [detector.sending]
    fed(level(20, 25, TRANSMIT), detector)
    sending.append(detector.sending)
    assert sending == [False, True]
    assert detector.standing_amps == pytest.approx(RECEIVE, abs=0.1)


def test_receive_level_is_not_learned_from_charging() -> None:
    detector = TransmitDetector()
    fed([*level(0, 60, RECEIVE), *level(60, 600, 4.0)], detector)
    assert detector.receive_amps == pytest.approx(RECEIVE, abs=0.1)
    assert detector.standing_amps == pytest.approx(4.0)


def test_charger_that_is_unplugged_is_no_over() -> None:
    """The fall ends exactly at the known receive level and stays."""
    samples = [*level(0, 60, RECEIVE), *level(60, 300, 5.0), *level(300, 900, RECEIVE)]
    assert fed(samples) == []


def test_over_under_a_charger_is_found() -> None:
    samples = [*level(0, 60, RECEIVE), *level(60, 120, 5.0), *level(120, 140, -3.8), *level(140, 200, 5.0)]
    assert kinds(fed(samples)) == ["start step", "end step"]


def test_charger_plugged_in_during_an_over_does_not_end_it() -> None:
    teach = [sample for n in range(3) for sample in ((t + 40 * n, a) for t, a in over(20, 10, 10))]
    samples = [
        *teach,
        *level(120, 130, RECEIVE),
        *level(130, 145, TRANSMIT),
        *level(145, 160, TRANSMIT + 4.0),
    ]
    samples += level(160, 200, RECEIVE + 4.0)
    edges = fed(samples)
    assert [edge.kind for edge in edges] == ["start", "end"] * 4
    assert edges[-2].seconds == pytest.approx(130, abs=1)
    assert edges[-1].seconds == pytest.approx(160, abs=1)


def test_one_wild_sample_is_no_over() -> None:
    samples = level(0, 60, RECEIVE, 1.0)
    samples[30] = (30.0, -7.0)
    assert fed(samples) == []


# Gaps


def test_gap_that_an_over_outlasts_does_not_end_it() -> None:
    samples = [
        *level(0, 30, RECEIVE),
        *level(30, 40, TRANSMIT),
        *level(60, 70, TRANSMIT),
        *level(70, 100, RECEIVE),
    ]
    start, end = fed(samples)
    assert (start.cause, end.cause) == ("step", "step")
    assert end.seconds - start.seconds == pytest.approx(40, abs=1)


def test_over_that_ended_in_a_gap_ends_in_its_middle() -> None:
    samples = [*level(0, 30, RECEIVE), *level(30, 40, TRANSMIT), *level(60, 100, RECEIVE)]
    start, end = fed(samples)
    assert kinds([start, end]) == ["start step", "end gap"]
    assert end.seconds == pytest.approx(49.75)
    assert end.uncertainty_seconds == pytest.approx(10.25)


def test_over_that_began_in_a_gap_begins_in_its_middle() -> None:
    samples = [*level(0, 30, RECEIVE), *level(50, 60, TRANSMIT), *level(60, 90, RECEIVE)]
    start, end = fed(samples)
    assert kinds([start, end]) == ["start gap", "end step"]
    assert start.seconds - start.uncertainty_seconds == pytest.approx(29.5)
    assert start.seconds + start.uncertainty_seconds == pytest.approx(50)


def test_long_gap_between_sending_and_sending_is_an_end_and_a_start() -> None:
    samples = [
        *level(0, 30, RECEIVE),
        *level(30, 40, TRANSMIT),
        *level(240, 250, TRANSMIT),
        *level(250, 280, RECEIVE),
    ]
    edges = fed(samples)
    assert kinds(edges) == ["start step", "end gap", "start gap", "end step"]
    assert edges[1].uncertainty_seconds > 90


def test_gap_while_receiving_tells_nothing() -> None:
    assert fed([*level(0, 30, RECEIVE), *level(100, 130, RECEIVE), *level(400, 430, 3.0)]) == []


# Beginnings and ends of the data


def test_data_that_begin_within_an_over_join_it() -> None:
    start, end = fed([*level(0, 20, TRANSMIT), *level(20, 60, RECEIVE)])
    assert kinds([start, end]) == ["start joined", "end step"]
    assert start.uncertainty_seconds == 600
    assert start.amps_before is None
    assert end.seconds == pytest.approx(20, abs=0.5)


def test_load_that_never_ends_is_given_up_and_becomes_the_standing_level() -> None:
    detector = TransmitDetector(longest_seconds=120)
    edges = fed([*level(0, 30, RECEIVE), *level(30, 400, -5.0)], detector)
    assert kinds(edges) == ["start step", "end too long"]
    assert edges[1].seconds == pytest.approx(150, abs=2)
    assert not detector.sending
    assert detector.standing_amps == pytest.approx(-5.0)


def test_known_step_of_the_set_decides_at_once_what_would_stay_in_doubt() -> None:
    """Charging from the first sample on, the receive level is unknown: only the known step tells an over."""
    samples = [*level(0, 60, 5.0), *level(60, 70, -0.5)]
    blind, informed = TransmitDetector(), TransmitDetector(usual_step_amps=5.5)
    assert fed(samples, blind) == []
    assert kinds(fed(samples, informed)) == ["start step"]


def test_over_in_doubt_is_told_late_and_dated_right() -> None:
    """Nothing was ever known but 5 A of charging: told after the time of doubt, with the moments it happened."""
    samples = [*level(0, 60, 5.0), *level(60, 80, -0.5), *level(80, 260, 5.0)]
    start, end = fed(samples)
    assert start.seconds == pytest.approx(60, abs=0.5)
    assert end.seconds == pytest.approx(80, abs=0.5)


# Hostile and odd input


@given(
    st.lists(
        st.tuples(
            st.floats(allow_nan=True, allow_infinity=True, width=32),
            st.floats(-1e6, 1e6) | st.sampled_from([math.nan, math.inf, -math.inf]),
            st.none() | st.floats(allow_nan=True, allow_infinity=True),
        ),
        max_size=80,
    )
)
@settings(deadline=None, max_examples=80)
def test_any_numbers_are_survived(samples: list) -> None:
    """Times that jump about, not-a-number, infinities: no exception, and starts and ends take turns."""
    detector = TransmitDetector()
    edges = [edge for seconds, amps, volts in samples for edge in detector.feed(seconds, amps, volts)]
    assert all(one.kind != other.kind for one, other in pairwise(edges))
    assert all(edge.uncertainty_seconds >= 0 for edge in edges)


@given(
    st.lists(st.sampled_from([RECEIVE, TRANSMIT, 4.0, -3.0, -0.2]), min_size=5, max_size=40),
    st.integers(1, 10),
)
@settings(deadline=None, max_examples=60)
def test_edges_take_turns_and_move_on_in_time(levels: list[float], rate: int) -> None:
    """Whatever levels follow each other, starts and ends alternate and never go back in time."""
    samples = [(n * 4.0 + i / rate, amps) for n, amps in enumerate(levels) for i in range(4 * rate)]
    edges = fed(samples)
    assert [edge.kind for edge in edges] == ["start", "end"] * (len(edges) // 2) + ["start"] * (
        len(edges) % 2
    )
    assert all(one.seconds <= other.seconds for one, other in pairwise(edges))


def test_repeated_and_backward_samples_are_passed_over() -> None:
    samples = over(30, 10, 20)
    noisy = [each for sample in samples for each in (sample, sample, (sample[0] - 5, -50.0))]
    assert fed(noisy) == fed(samples)


def test_same_samples_same_edges() -> None:
    trace = make_trace(11, minutes=5.0)
    assert fed(trace.samples) == fed(trace.samples)


def test_memory_does_not_grow_with_the_day() -> None:
    """After many overs no story still holds on to turns that were told."""
    detector = TransmitDetector()
    held = []
    for n in range(300):
        fed([(60.0 * n + t, amps) for t, amps in over(30, 10, 20, 1.0)], detector)
        held.append(held_bytes(detector))
    assert max(held[-100:]) <= max(held[:30])


def test_a_load_that_may_be_a_carrier_is_called_neither_at_first():
    """From the first reading of a session on, and at the key: in doubt until it is told, and then no more."""
    joined, keyed = TransmitDetector(), TransmitDetector()
    assert (fed([(0.0, TRANSMIT)], joined), joined.perhaps_sending) == ([], True)
    assert (kinds(fed([(1.0, TRANSMIT)], joined)), joined.perhaps_sending) == (["start joined"], False)
    assert (fed(level(0, 20, RECEIVE), keyed), keyed.perhaps_sending) == ([], False)
    assert (fed([(20.0, TRANSMIT)], keyed), keyed.perhaps_sending) == ([], True)
    fed([(20.5, TRANSMIT), (21.0, TRANSMIT)], keyed)
    assert (keyed.sending, keyed.perhaps_sending) == (True, False)


@pytest.mark.parametrize("jitter_seconds", [0.0, 0.001, 0.1, 0.4])
def test_an_over_is_told_while_it_lasts_however_a_second_is_measured(jitter_seconds: float) -> None:
    """A feed of one frame a second is read now a little sooner, now later: that is not a doubt about an over."""
    for seed in range(20):
        dice, detector = Random(seed), TransmitDetector()
        starts = [40 + 50 * number for number in range(8)]
        told = []
        for second in range(440):
            sending = any(start <= second < start + 25 for start in starts)
            amps = -6.8 + dice.gauss(0, 0.08) if sending else -0.42 - abs(dice.gauss(0, 0.05))
            edges = detector.feed(second + dice.uniform(0, jitter_seconds), amps)
            told += [second for edge in edges if edge.kind == "start"]
        assert len(told) == len(starts)
        assert max(at - start for at, start in zip(told, starts, strict=True)) <= 4
