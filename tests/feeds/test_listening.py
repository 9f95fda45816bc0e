"""Limits, batches, floods, silence: everything about an open port that needs the time but no port."""

from __future__ import annotations

from itertools import pairwise

import pytest

from fieldtui.feeds.batches import MOST_BYTES, MOST_READINGS, Batch, FloodGate
from fieldtui.feeds.label_frames import encode_label_frame
from fieldtui.feeds.listening import Listening
from fieldtui.feeds.plausible import StepGuard
from fieldtui.feeds.readings import BatteryReading, Item, Problem, Timed
from fieldtui.feeds.recogniser import ShuntRecogniser
from fieldtui.feeds.states import FeedCondition

FRAME = encode_label_frame([("V", "12846"), ("I", "-250")])
LINE = b"12.846,-0.250\n"
NOISE = bytes([0x00, 0xFF, 0x80, 0x1E]) * 100


def listening(now: float = 0.0) -> Listening:
    return Listening(ShuntRecogniser(), now, silent_after_seconds=5.0)


def volts_passed(*steps: tuple[float, float]) -> list[float | str | None]:
    """Send (volts, at) through a guard; voltages and problem codes as they come out."""
    guard = StepGuard()
    out = [timed.item for volts, at in steps for timed in guard.admit(Timed(BatteryReading(volts=volts), at))]
    return [
        item.volts if isinstance(item, BatteryReading) else item.code
        for item in out
        if isinstance(item, BatteryReading | Problem)
    ]


def test_a_single_jump_is_refused():
    """Two swapped digits sum alike: 31.1 V in the middle of 13.1 V is not a battery."""
    assert volts_passed((13.1, 0), (31.1, 1), (13.1, 2)) == [13.1, "implausible", 13.1]


def test_a_jump_that_stays_is_another_pack():
    assert volts_passed((13.1, 0), (25.6, 1), (25.5, 2), (25.6, 3)) == [13.1, 25.6, 25.5, 25.6]


def test_a_sag_under_load_passes_at_once():
    assert volts_passed((13.1, 0), (10.4, 1)) == [13.1, 10.4]


def test_a_slow_change_over_a_pause_passes_at_once():
    assert volts_passed((13.1, 0), (2.0, 10)) == [13.1, 2.0]


def test_two_different_jumps_in_a_row_are_both_doubted():
    assert volts_passed((13.1, 0), (31.1, 1), (71.0, 2), (13.0, 3)) == [
        13.1,
        "implausible",
        "implausible",
        13.0,
    ]


@pytest.mark.parametrize("item", [BatteryReading(amps=-1.0), Problem("bad_line", "x")])
def test_what_has_no_volts_passes(item: Item):
    timed = Timed(item, 0.0)
    assert list(StepGuard().admit(timed)) == [timed]


def test_power_is_volts_times_amps_where_both_are_known():
    assert BatteryReading(volts=12.0, amps=-2.0, watts=-25.0).watts == -24.0
    assert BatteryReading(volts=12.0, watts=-25.0).watts == -25.0


def test_batches_come_at_most_ten_times_a_second():
    batch, deliveries = Batch(), []
    for hundredth in range(200):
        now = hundredth / 100
        batch.add(Timed(BatteryReading(volts=12.0), now))
        deliveries += [now] if batch.take_if_due(now) else []
    gaps = [later - earlier for earlier, later in pairwise(deliveries)]
    assert deliveries[0] == 0.0
    assert min(gaps) >= 0.0999
    assert len(deliveries) >= 18


def test_a_batch_keeps_the_newest_readings_and_one_problem_of_each_kind():
    batch = Batch()
    for number in range(1000):
        batch.add(Timed(BatteryReading(volts=float(number % 80)), float(number)))
        batch.add(Timed(Problem("bad_line", str(number)), float(number)))
    items = batch.take(1000.0)
    assert [t.item.text for t in items if isinstance(t.item, Problem)] == ["0"]
    assert [t.monotonic_seconds for t in items][1:] == [float(n) for n in range(1000 - MOST_READINGS, 1000)]


def test_the_gate_opens_anew_every_tenth_of_a_second():
    gate = FloodGate()
    assert gate.room(0.0) == MOST_BYTES
    gate.spend(MOST_BYTES - 1)
    assert gate.room(0.05) == 1
    gate.spend(100)
    assert gate.room(0.09) == 0
    assert gate.room(0.1) == MOST_BYTES


@pytest.mark.parametrize("unit", [FRAME, LINE])
def test_a_flood_is_read_in_part_and_nothing_is_put_together_across_the_gaps(unit: bytes):
    """5 kB in each hundredth of a second; half of `12.846` and half of the next line would be a reading, too."""
    heard, stream, place = listening(), unit * 90_000, 0
    items: list[Timed] = []
    for tick in range(200):
        now = tick / 100
        room = heard.room(now)
        data = stream[place : place + (room or 5000)]
        place += len(data)
        if room:
            heard.take(data, now)
        else:
            heard.skip(now)
        items += heard.batch(now)
    readings = [timed.item for timed in items if isinstance(timed.item, BatteryReading)]
    assert set(readings) == {BatteryReading(volts=12.846, amps=-0.25)}
    assert len(readings) > 100


def test_nothing_can_be_said_before_the_first_bytes():
    assert listening().condition(4.9) is None


def test_a_port_that_says_nothing_is_silent_after_a_while_and_reading_again():
    heard = listening()
    assert heard.condition(5.0) is FeedCondition.SILENT
    heard.take(FRAME, 7.0)
    assert heard.condition(7.0) is FeedCondition.READING
    assert heard.condition(11.9) is FeedCondition.READING
    assert heard.condition(12.0) is FeedCondition.SILENT
    assert heard.quiet_since == 7.0


def test_bytes_without_a_reading_are_silence_with_a_difference():
    heard = listening()
    for second in range(10):
        heard.take(b"hello\n", float(second))
    assert heard.condition(9.0) is FeedCondition.SILENT
    assert heard.bytes_come(9.0)
    assert not heard.bytes_come(14.0)


def test_noise_is_a_wrong_speed_until_a_reading_or_silence():
    heard = listening()
    heard.take(NOISE, 1.0)
    assert heard.condition(1.0) is FeedCondition.WRONG_SPEED
    heard.take(NOISE, 5.5)
    assert heard.condition(6.0) is FeedCondition.WRONG_SPEED
    assert heard.condition(10.5) is FeedCondition.SILENT
    heard.take(FRAME * 2, 11.0)
    assert heard.condition(11.0) is FeedCondition.READING


def test_items_carry_the_time_of_their_bytes():
    heard = listening()
    heard.take(FRAME[:20], 1.0)
    heard.take(FRAME[20:], 2.0)
    assert [timed.monotonic_seconds for timed in heard.batch(2.0)] == [2.0]
