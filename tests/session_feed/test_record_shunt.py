"""Two hours of a battery's frames through a real serial line into a journal: charge and overs are what ran.

The frames look like recorded ones: converter noise and steps, a sagging and relaxing pack, a fan and a loudspeaker.
What really ran is known exactly, because the pack is a model.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from random import Random

import pytest

from fieldtui.demo.outing import LAST_SECONDS, outing
from fieldtui.demo.pace import PacedClock
from fieldtui.demo.physical_pack import PhysicalPack
from fieldtui.demo.virtual_port import PtyPort
from fieldtui.feeds import reader
from fieldtui.journal.events import BatterySampled, FeedChanged, TransmissionEnded, TransmissionStarted
from fieldtui.journal.keeper import Keeper
from fieldtui.journal.stamp import Clock
from fieldtui.journal.verify import verify
from fieldtui.live.battery import BatteryFeed
from fieldtui.live.ports import ShuntPort
from tests.support.hand_clock import HandClock
from tests.support.journals import folded, of_kind
from tests.support.sender import frame

PATIENCE_SECONDS = 60.0
UNCERTAIN_SECONDS = 2.0
"""How far an edge may be off: samples stand a second apart."""


@dataclass(frozen=True, slots=True)
class Truth:
    """What the shunt saw, second by second, and what really ran."""

    readings: list[tuple[float, float]]
    amp_hours: float
    watt_hours: float
    overs: list[tuple[float, float]]


def play(seconds: int) -> Truth:
    """The invented outing on a modelled pack: one reading (volts, amps) a second."""
    scene, wobble = outing(), Random(11)
    pack = PhysicalPack(12.0, charge_percent=97.0, internal_ohms=0.055, seed=7)
    readings, amp_seconds, watt_seconds = [], 0.0, 0.0
    for second in range(seconds):
        load = scene.load_amps(float(second), wobble)
        amp_seconds += load
        watt_seconds += load * pack.terminal_volts(load)
        readings.append(pack.step(load, 1.0))
    overs = [(start, end) for start, end in scene.overs if end < seconds]
    return Truth(readings, amp_seconds / 3600, watt_seconds / 3600, overs)


@contextmanager
def recording(
    journal: Path, port: PtyPort, clock: Clock, feed_clock: Callable[[], float], pace: float
) -> Iterator[BatteryFeed]:
    """Reader, recorder and journal keeper as the screen runs them, without the screen."""
    keeper = Keeper(journal, clock, on_batch=lambda _: None, on_trouble=lambda _: None)
    keeper.start()
    feed = BatteryFeed(
        ShuntPort(port.url),
        lambda events, at: keeper.submit(*events, mono_seconds=at),
        thought_sending=lambda: False,
        usual_transmit_amps=None,
        clock=feed_clock,
        pace=pace,
    )
    feed.start()
    try:
        yield feed
    finally:
        feed.stop()
        assert keeper.stop() == []


def wait_for(holds: Callable[[], object]) -> None:
    """Wait for what normally takes a millisecond."""
    end = time.monotonic() + PATIENCE_SECONDS
    while not holds():
        assert time.monotonic() < end, "the reading did not arrive"
        time.sleep(0.0002)


def overs_in(journal: Path, zero: float) -> list[tuple[float, float]]:
    """Transmissions as the journal tells them, in seconds of the outing."""
    starts = [event.mono_seconds or 0.0 for event in of_kind(journal, TransmissionStarted)]
    ends = [event.mono_seconds or 0.0 for event in of_kind(journal, TransmissionEnded)]
    return [(start - zero, end - zero) for start, end in zip(starts, ends, strict=True)]


def test_two_hours_frame_by_frame(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    """Every frame arrives at its second: charge and energy within 1 %, every over found, and none invented."""
    # A frame is sent as soon as the one before was read, so there is nothing to gather more bytes for.
    monkeypatch.setattr(reader, "GATHER_SECONDS", 0.0)
    truth, clock, journal = play(int(LAST_SECONDS)), HandClock(), tmp_path / "j.jsonl"
    zero = clock.now().mono_seconds
    with (
        PtyPort(tmp_path / "shunt") as port,
        recording(journal, port, clock, lambda: clock.now().mono_seconds, 1.0) as feed,
    ):

        def is_read_since(at: float) -> bool:
            return feed.latest.sample is not None and feed.latest.sample.mono_seconds >= at

        wait_for(lambda: port.write(frame(*truth.readings[0])) and feed.latest.sample)
        for second, (volts, amps) in enumerate(truth.readings):
            clock.seconds = float(second)
            port.write(frame(volts, amps))
            wait_for(partial(is_read_since, zero + second))
    battery = folded(journal).battery
    assert battery.amp_hours_out == pytest.approx(truth.amp_hours, rel=0.01)
    assert battery.watt_hours_out == pytest.approx(truth.watt_hours, rel=0.01)
    assert battery.gap_seconds == 0.0
    assert battery.in_amp_seconds == 0.0
    found = overs_in(journal, zero)
    assert len(found) == len(truth.overs) == battery.overs
    for (start, end), (true_start, true_end) in zip(found, truth.overs, strict=True):
        assert start == pytest.approx(true_start, abs=UNCERTAIN_SECONDS)
        assert end == pytest.approx(true_end, abs=UNCERTAIN_SECONDS)
    assert battery.transmit_seconds == pytest.approx(sum(end - start for start, end in truth.overs), rel=0.05)
    assert [event.condition for event in of_kind(journal, FeedChanged)] == ["reading"]
    assert verify(journal).sound
    lines = len(of_kind(journal, BatterySampled))
    assert lines < len(truth.readings) / 4, "what changes little is not written every second"
    assert max(seconds for seconds, _ in battery.recent) > LAST_SECONDS - 15


@pytest.mark.slow
def test_two_hours_sixty_times_as_fast(tmp_path: Path):
    """Frames come when they come, two minutes long: charge within 1 %, nearly all overs found where they were."""
    truth, pace, journal = play(int(LAST_SECONDS)), 60.0, tmp_path / "j.jsonl"
    with PtyPort(tmp_path / "shunt") as port:
        clock = PacedClock(pace, start=datetime(2026, 6, 14, 16, 50, tzinfo=UTC))
        ended = threading.Event()

        def send() -> None:
            for second, (volts, amps) in enumerate(truth.readings):
                if ended.wait(clock.sleep_until(float(second))):
                    return
                port.write(frame(volts, amps))

        sender = threading.Thread(target=send)
        with recording(journal, port, clock, clock.elapsed_seconds, pace):
            sender.start()
            sender.join()
            time.sleep(1)
        ended.set()
    battery = folded(journal).battery
    assert battery.amp_hours_out == pytest.approx(truth.amp_hours, rel=0.01)
    found = overs_in(journal, 0.0)
    near = [
        over
        for over in truth.overs
        if any(abs(over[0] - start) < 8 and abs(over[1] - end) < 8 for start, end in found)
    ]
    assert len(near) >= 0.95 * len(truth.overs)
    assert len(found) <= 1.05 * len(truth.overs)
    assert verify(journal).sound
