"""A session's current replayed through a real pseudo-terminal, second by second: are the numbers right?

The truth is the physical pack of the demo, which knows what it gave and what its resistance is. The reader, the
recorder, the alarm watch, the journal and the fold are those of the running program.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from random import Random

import pytest

from fieldtui.demo.physical_pack import PhysicalPack
from fieldtui.demo.virtual_port import PtyPort
from fieldtui.feeds import reader
from fieldtui.journal import keeper as keeper_module
from fieldtui.journal.event_types import Event
from fieldtui.journal.events import KIND_OF, AlarmRaised, BatterySampled, PackStated
from fieldtui.journal.file import Batch, Journal
from fieldtui.journal.keeper import Keeper
from fieldtui.journal.line import read_event
from fieldtui.live.alarm_watch import AlarmWatch
from fieldtui.live.battery import BatteryFeed
from fieldtui.live.ports import ShuntPort
from fieldtui.power.alarms.alarms import Estimate
from fieldtui.power.packs import make_pack
from fieldtui.session.opening import opening_event
from fieldtui.session.recording.battery import Sample
from fieldtui.session.state import SessionState
from tests.session_feed.test_record_shunt import wait_for
from tests.support.hand_clock import HandClock
from tests.support.sender import frame

RECEIVE_AMPS, TRANSMIT_AMPS = 0.45, 7.5
OHMS = 0.055


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


class Watch(AlarmWatch):
    """The program's own, which says what it has seen."""

    seen_until = float("-inf")

    def on_sample(self, sample: Sample, *, sending_since: float | None) -> None:
        super().on_sample(sample, sending_since=sending_since)
        self.seen_until = sample.mono_seconds


@pytest.fixture(autouse=True)
def no_waits(monkeypatch: pytest.MonkeyPatch) -> None:
    """The clock of the session is moved by hand: whatever the machine's own time waits for comes at once."""
    monkeypatch.setattr(reader, "GATHER_SECONDS", 0.0)
    for name in ("POLL", "TELEMETRY"):
        monkeypatch.setattr(keeper_module, f"{name}_SECONDS", 0.001)


def replay(
    folder: Path, seconds: int, pack: PhysicalPack, stated: PackStated
) -> tuple[SessionState, Truth, list[AlarmRaised]]:
    """Play a session; returns the folded journal, the truth, the alarms in order.

    A second begins when the one before it is read, watched, written and folded, however long that takes.
    """
    clock, truth, overs, wobble = HandClock(), Truth(), overs_of(seconds), Random(3)
    truth.overs = len(overs)
    journal = folder / "replay.jsonl"
    state = SessionState()
    handed: list[Event] = []
    troubles: list[str] = []

    def fold(batch: Batch) -> None:
        for envelope in batch.envelopes:
            state.apply(envelope)
            if envelope.kind == KIND_OF[BatterySampled]:
                watch.on_estimate(Estimate(envelope.mono, *state.power.judged()))

    keeper = Keeper(journal, clock, on_batch=fold, on_trouble=troubles.append)

    def submit(events: Sequence[Event], at: float | None = None) -> None:
        handed.extend(events)
        keeper.submit(*events, mono_seconds=at)

    keeper.start()
    submit([opening_event(station_call="W7QRV", demo=True), stated])
    watch = Watch(make_pack(stated.chemistry, stated.amp_hours, stated.cells), submit)
    with PtyPort(folder / "shunt") as port:
        feed = BatteryFeed(
            ShuntPort(port.url), submit, thought_sending=lambda: False, usual_transmit_amps=None,
            clock=lambda: clock.now().mono_seconds, watch=watch,
        )  # fmt: skip
        feed.start()

        def settled(at: float) -> bool:
            return watch.seen_until >= at and state.lines == len(handed)

        def said_again(told: bytes) -> bool:
            return port.write(told) > 0 and watch.seen_until > float("-inf")

        for second in range(seconds):
            clock.seconds = float(second)
            at = clock.now().mono_seconds
            sending = any(first <= second < last for first, last in overs)
            load = (TRANSMIT_AMPS if sending else RECEIVE_AMPS) + abs(wobble.gauss(0, 0.05))
            volts, amps = pack.step(load, 1.0)
            truth.amp_hours_out += load / 3600
            told = frame(volts, amps)
            port.write(told)
            if second == 0:
                # Until the port is open and its language known, nothing that is said is heard.
                wait_for(partial(said_again, told))
            wait_for(partial(settled, at))
            watch.on_second(at)
        feed.stop()
    assert keeper.stop() == []
    assert troubles == []
    raised = []
    with Journal(journal, writable=False) as again:
        folded = SessionState()
        for batch in again.follow():
            folded.apply_all(batch.envelopes)
            events = map(read_event, batch.envelopes)
            raised += [event for event in events if isinstance(event, AlarmRaised)]
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


def test_twelve_minutes(tmp_path: Path):
    """Charge within 1 %, resistance within 10 %, every over found, the charge inside the interval, no alarm."""
    pack = PhysicalPack(12.0, internal_ohms=OHMS, relaxation_ohms=0.004, charge_percent=90.0, seed=1)
    stated = PackStated(chemistry="lifepo4", amp_hours=12.0, cells=4, start_percent=90.0, least_volts=11.7)
    state, truth, raised = replay(tmp_path, 720, pack, stated)
    check(state, truth, pack)
    assert raised == []


def test_a_pack_that_runs_down_alarms_once_for_each_step(tmp_path: Path):
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


def test_two_hours(tmp_path: Path):
    """The same promises over a whole outing."""
    pack = PhysicalPack(16.0, internal_ohms=OHMS, relaxation_ohms=0.004, charge_percent=97.0, seed=4)
    stated = PackStated(chemistry="lifepo4", amp_hours=16.0, cells=4, start_percent=97.0, least_volts=11.7)
    state, truth, raised = replay(tmp_path, 7200, pack, stated)
    check(state, truth, pack)
    assert raised == []
