"""A session's current replayed through a real pseudo-terminal at many times its pace: are the numbers right?

The truth is the physical pack of the demo, which knows what it gave and what its resistance is. The reader, the
recorder, the alarm watch, the journal and the fold are those of the running program.
"""

from __future__ import annotations

import time
from dataclasses import dataclass
from pathlib import Path
from random import Random

import pytest

from fieldtui.demo.pace import PacedClock
from fieldtui.demo.physical_pack import PhysicalPack
from fieldtui.demo.virtual_port import PtyPort
from fieldtui.feeds.label_frames import encode_label_frame
from fieldtui.journal.events import KIND_OF, AlarmRaised, BatterySampled, PackStated
from fieldtui.journal.file import Journal
from fieldtui.journal.keeper import Keeper
from fieldtui.journal.line import read_event
from fieldtui.live.alarm_watch import AlarmWatch
from fieldtui.live.battery import BatteryFeed
from fieldtui.live.ports import ShuntPort
from fieldtui.power.alarms.alarms import Estimate
from fieldtui.power.packs import make_pack
from fieldtui.session.opening import opening_event
from fieldtui.session.state import SessionState

RECEIVE_AMPS, TRANSMIT_AMPS = 0.45, 7.5
OHMS = 0.055
PACE = 60.0


@dataclass
class Truth:
    """What the pack really did."""

    amp_hours_out: float = 0.0
    overs: int = 0


def overs_of(seconds: float) -> list[tuple[float, float]]:
    """Overs of 8 to 30 s, one or two in a minute and a half."""
    dice, at, overs = Random(5), 40.0, []
    while at < seconds - 60:
        length = dice.uniform(8, 30)
        overs.append((at, at + length))
        at += length + dice.uniform(15, 60)
    return overs


def replay(
    folder: Path, seconds: float, pack: PhysicalPack, stated: PackStated
) -> tuple[SessionState, Truth, list]:
    """Play a session of so many (paced) seconds; returns the folded journal, the truth, the alarms in order."""
    clock, truth, overs, wobble = PacedClock(PACE), Truth(), overs_of(seconds), Random(3)
    truth.overs = len(overs)
    journal = folder / "replay.jsonl"
    state = SessionState()

    def fold(batch) -> None:
        for envelope in batch.envelopes:
            state.apply(envelope)
            if envelope.kind == KIND_OF[BatterySampled]:
                watch.on_estimate(Estimate(envelope.mono, *state.power.judged()))

    keeper = Keeper(
        journal, clock, on_batch=fold, on_trouble=lambda words: pytest.fail(words) if words else None
    )
    keeper.start()
    keeper.submit(opening_event(station_call="W7QRV", demo=True), stated)
    watch = AlarmWatch(
        make_pack(stated.chemistry, stated.amp_hours, stated.cells),
        lambda events, at: keeper.submit(*events, mono_seconds=at),
    )
    with PtyPort(folder / "shunt") as port:
        feed = BatteryFeed(
            ShuntPort(port.url), lambda events, at: keeper.submit(*events, mono_seconds=at),
            thought_sending=lambda: False, usual_transmit_amps=None,
            clock=clock.elapsed_seconds, pace=PACE, watch=watch,
        )  # fmt: skip
        feed.start()
        while feed.latest.state is None or feed.latest.state.condition != "opening":
            time.sleep(0.01)
        start = clock.elapsed_seconds() + 5
        for second in range(int(seconds)):
            time.sleep(clock.sleep_until(start + second))
            sending = any(first <= second < last for first, last in overs)
            load = (TRANSMIT_AMPS if sending else RECEIVE_AMPS) + abs(wobble.gauss(0, 0.05))
            volts, amps = pack.step(load, 1.0)
            truth.amp_hours_out += load / 3600
            port.write(encode_label_frame([("V", f"{volts * 1000:.0f}"), ("I", f"{amps * 1000:.0f}")]))
            watch.on_second(clock.elapsed_seconds())
        time.sleep(0.3)
        feed.stop()
    assert keeper.stop() == []
    raised = []
    with Journal(journal, writable=False) as again:
        folded = SessionState()
        for batch in again.follow():
            folded.apply_all(batch.envelopes)
            raised += [read_event(one) for one in batch.envelopes if one.kind == KIND_OF[AlarmRaised]]
    return folded, truth, raised


def check(state: SessionState, truth: Truth, pack: PhysicalPack) -> None:
    """The promises of the battery page."""
    assert state.last_moment is not None
    battery, power = state.battery, state.power.view(state.last_moment.seconds)
    assert battery.amp_hours_out == pytest.approx(truth.amp_hours_out, rel=0.01)
    assert battery.overs == truth.overs
    assert power.resistance is not None
    assert power.resistance.ohms == pytest.approx(OHMS, rel=0.10)
    assert power.charge is not None
    assert power.charge.low_percent <= pack.charge_percent <= power.charge.high_percent
    assert power.next_over_volts == pytest.approx(pack.terminal_volts(TRANSMIT_AMPS), abs=0.1)


def test_twelve_minutes_at_sixty_times_the_pace(tmp_path):
    """Charge within 1 %, resistance within 10 %, every over found, the charge inside the interval, no alarm."""
    pack = PhysicalPack(12.0, internal_ohms=OHMS, relaxation_ohms=0.004, charge_percent=90.0, seed=1)
    stated = PackStated(chemistry="lifepo4", amp_hours=12.0, cells=4, start_percent=90.0, least_volts=11.7)
    state, truth, raised = replay(tmp_path, 720, pack, stated)
    check(state, truth, pack)
    assert raised == []


def test_a_pack_that_runs_down_alarms_once_for_each_step(tmp_path):
    """Low, very low, cut-off near: in this order, each once, while the pack goes from 25 percent to nearly nothing."""
    pack = PhysicalPack(1.6, internal_ohms=OHMS, relaxation_ohms=0.004, charge_percent=30.0, seed=2)
    stated = PackStated(chemistry="lifepo4", amp_hours=1.6, cells=4, start_percent=30.0)
    _, _, raised = replay(tmp_path, 720, pack, stated)
    kinds = [event.alarm for event in raised if event.alarm in ("low", "very-low", "cutoff-near")]
    assert kinds == ["low", "very-low", "cutoff-near"][: len(kinds)]
    assert len(kinds) >= 2
    others = {event.alarm for event in raised} - {*kinds, "charge-low", "charge-very-low"}
    assert others <= {"over-current"}, (
        "7.5 A is more than a pack of 1.6 Ah is made for, and nothing else is wrong"
    )


@pytest.mark.slow
def test_two_hours_at_sixty_times_the_pace(tmp_path):
    """The same promises over a whole outing."""
    pack = PhysicalPack(16.0, internal_ohms=OHMS, relaxation_ohms=0.004, charge_percent=97.0, seed=4)
    stated = PackStated(chemistry="lifepo4", amp_hours=16.0, cells=4, start_percent=97.0, least_volts=11.7)
    state, truth, raised = replay(tmp_path, 7200, pack, stated)
    check(state, truth, pack)
    assert raised == []
