"""A screen left open after the close reads its shunt, shows it, and writes no more readings into the journal."""

from __future__ import annotations

from functools import partial
from pathlib import Path

from fieldtui.demo.virtual_port import PtyPort
from fieldtui.journal.events import BatterySampled, SessionClosed, SessionOpened
from fieldtui.journal.keeper import Keeper
from fieldtui.live.feeds import SessionFeeds
from fieldtui.live.ports import ShuntPort
from fieldtui.radio.channels.plan import Plan
from fieldtui.screens.settings import Settings
from fieldtui.session.recording.battery import Sample
from tests.session_feed.test_record_shunt import wait_for
from tests.support.hand_clock import HandClock
from tests.support.journals import folded, of_kind
from tests.support.sender import frame


def test_readings_end_with_the_session_and_the_pane_goes_on(tmp_path: Path):
    clock, journal, opening = HandClock(), tmp_path / "j.jsonl", SessionOpened(program="test")
    keeper = Keeper(journal, clock, on_batch=lambda _: None, on_trouble=lambda _: None)
    keeper.start()
    keeper.submit(opening)
    with PtyPort(tmp_path / "shunt") as port:
        settings = Settings(
            journal, opening, lambda: Plan("none", ()), clock, ShuntPort(port.url),
            feed_clock=lambda: clock.now().mono_seconds,
        )  # fmt: skip
        states = [folded(journal)] if journal.exists() else []
        feeds = SessionFeeds(settings, keeper, lambda: states[-1])
        wait_for(lambda: journal.exists() and folded(journal).opened)
        states.append(folded(journal))
        feeds.start()

        def read() -> Sample:
            assert feeds.latest is not None
            assert feeds.latest.sample is not None
            return feeds.latest.sample

        def tell(said: bytes, at: float) -> bool:
            return bool(port.write(said)) and read().mono_seconds >= at

        wait_for(lambda: port.write(frame(13.2, -1.0)) and feeds.latest and feeds.latest.sample)
        for second in range(1, 40):
            if second == 20:
                keeper.submit(SessionClosed())
                wait_for(lambda: folded(journal).closed_moment)
                states.append(folded(journal))
                feeds.publish()
                written = len(of_kind(journal, BatterySampled))
            clock.seconds = float(second)
            at = clock.now().mono_seconds
            told = frame(13.2 - second / 100, -1.0)
            wait_for(partial(tell, told, at))
        # The frame before the last may have been read when the clock stood at the last second already.
        last = read().volts
        assert last is not None
        assert last < 12.85
        feeds.stop()
    assert keeper.stop() == []
    assert written >= 1
    assert len(of_kind(journal, BatterySampled)) <= written + 1
    volts = folded(journal).battery.volts
    assert volts is not None
    assert volts > 13.0
