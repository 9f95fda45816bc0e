"""A shunt that is pulled while the station sends: nobody knows any more, so nobody is told to stop sending."""

from __future__ import annotations

import time
from collections.abc import Callable
from functools import partial
from pathlib import Path

from fieldtui.demo.virtual_port import PtyPort
from fieldtui.journal.events import AlarmRaised
from fieldtui.journal.keeper import Keeper
from fieldtui.live.alarm_watch import AlarmWatch
from fieldtui.live.battery import BatteryFeed
from fieldtui.live.ports import ShuntPort
from fieldtui.power.packs import make_pack
from tests.support.hand_clock import HandClock
from tests.support.journals import of_kind
from tests.support.sender import frame


def wait_for(what: Callable[[], object]) -> None:
    """Wait for what normally takes a moment."""
    end = time.monotonic() + 20
    while not what():
        assert time.monotonic() < end, "it did not happen"
        time.sleep(0.005)


def test_no_over_grows_while_nothing_is_measured(tmp_path: Path):
    clock, journal, port = HandClock(), tmp_path / "hill.jsonl", PtyPort(tmp_path / "shunt")
    keeper = Keeper(journal, clock, on_batch=lambda _: None, on_trouble=lambda _: None)
    keeper.start()
    watch = AlarmWatch(
        make_pack("lifepo4", 20, 4, 1),
        lambda events, at: keeper.submit(*events, mono_seconds=at),
        long_over_seconds=60,
    )
    with port:
        feed = BatteryFeed(
            ShuntPort(port.url),
            lambda events, at: keeper.submit(*events, mono_seconds=at),
            thought_sending=lambda: False,
            usual_transmit_amps=5.0,
            clock=lambda: clock.now().mono_seconds,
            watch=watch,
        )
        feed.start()

        def is_read_at(at: float) -> bool:
            return feed.latest.sample is not None and feed.latest.sample.mono_seconds == at

        def measure(volts: float, amps: float, seconds: int) -> None:
            for _ in range(seconds):
                clock.move(1)
                port.write(frame(volts, amps))
                wait_for(partial(is_read_at, clock.now().mono_seconds))

        def is_read() -> object:
            clock.move(1)
            port.write(frame(13.2, -0.4))
            time.sleep(0.02)
            return feed.latest.sample

        wait_for(is_read)
        measure(13.2, -0.4, 20)
        measure(12.8, -5.4, 6)
        began = feed.latest.sending_since
        assert began is not None
        port.unplug()
        wait_for(lambda: feed.latest.state and feed.latest.state.condition == "lost")
        assert not feed.latest.sending
        watch.on_second(clock.now().mono_seconds + 90)
        port.plug()
        wait_for(lambda: (port.write(frame(12.8, -5.4)), feed.latest.sending)[1])
        assert feed.latest.sending_since == began, "after a loose plug it is the same over"
        feed.stop()
    assert keeper.stop() == []
    assert "long-over" not in [alarm.alarm for alarm in of_kind(journal, AlarmRaised)]
