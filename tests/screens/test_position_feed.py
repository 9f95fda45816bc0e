"""A position receiver on a real pseudo-terminal, into a journal: places, a lost fix, and a clock that was wrong."""

from __future__ import annotations

import json
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from fieldtui.cli.main import main
from fieldtui.demo.virtual_port import PtyPort
from fieldtui.feeds import reader
from fieldtui.journal.event_types import Event
from fieldtui.journal.events import ClockOffset, ContactLogged, FeedChanged
from fieldtui.journal.keeper import Keeper
from fieldtui.journal.position_events import PositionFixed
from fieldtui.live.ports import ReceiverPort
from fieldtui.live.position import PositionFeed
from fieldtui.session.clock_words import clock_words
from fieldtui.session.opening import opening_event
from tests.feeds.nmea_making import LAT_DEG, LON_DEG, burst, gga, gsa, rmc
from tests.support.hand_clock import HandClock
from tests.support.journals import folded, of_kind

PATIENCE_SECONDS = 30.0
TRUE_START = datetime(2026, 6, 14, 17, 0, tzinfo=UTC)
WRONG_BY = timedelta(hours=3, minutes=17)


class Table:
    """A table on a hill: a receiver, a feed, a journal, and a clock that is moved by hand."""

    def __init__(self, port: PtyPort, clock: HandClock, keeper: Keeper, feed: PositionFeed) -> None:
        self.port, self.clock, self.keeper, self.feed = port, clock, keeper, feed

    def say(self, second: float, *sentences: bytes) -> None:
        """One burst of the receiver at that second of the outing; it arrives a quarter of a second later."""
        self.clock.seconds = second + 0.25
        arrived = self.clock.now().mono_seconds
        self.port.write(b"".join(sentences))
        self.until(lambda: (sample := self.feed.latest.sample) and sample.mono_seconds >= arrived)

    def until(self, holds: Callable[[], Any]) -> None:
        end = time.monotonic() + PATIENCE_SECONDS
        while not holds():
            assert time.monotonic() < end, "it did not happen"
            time.sleep(0.0005)


@contextmanager
def table(tmp_path: Path, *, wrong_by: timedelta = timedelta(0)) -> Iterator[Table]:
    clock = HandClock(TRUE_START - wrong_by)
    keeper = Keeper(tmp_path / "j.jsonl", clock, on_batch=lambda _: None, on_trouble=lambda _: None)
    keeper.start()

    def submit(events: Any) -> None:
        keeper.submit(*events)

    with PtyPort(tmp_path / "gps") as port:
        feed = PositionFeed(
            ReceiverPort(port.url), submit, clock,
            feed_clock=lambda: clock.now().mono_seconds, silent_after_seconds=1e9,
        )  # fmt: skip
        keeper.submit(opening_event(station_call="W7QRV", locator="CN94fl"))
        feed.start()
        made = Table(port, clock, keeper, feed)
        made.until(lambda: port.write(rmc(TRUE_START, status="V")) and feed.latest.sample)
        try:
            yield made
        finally:
            feed.stop()
            assert keeper.stop() == []


@pytest.fixture(autouse=True)
def _at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """A burst is sent as soon as the one before was read, so there is nothing to gather more bytes for."""
    monkeypatch.setattr(reader, "GATHER_SECONDS", 0.0)


def true(second: float) -> datetime:
    return TRUE_START + timedelta(seconds=second)


def contact(name: str, call: str) -> Event:
    return ContactLogged(id=name, call=call)


def test_contacts_get_their_right_times_when_the_fix_comes_late(tmp_path: Path, capsys: Any) -> None:
    """The board booted 3 h 17 min behind; the receiver finds itself after twenty minutes."""
    journal = tmp_path / "j.jsonl"
    with table(tmp_path, wrong_by=WRONG_BY) as on:
        for second in range(1, 1200, 100):
            on.say(second, rmc(true(second), status="V"), gga(true(second), quality=0))
        on.clock.seconds = 300.0
        on.keeper.submit(contact("c1", "W0QSL"))
        for second in range(1200, 1300):
            on.say(second, *burst(true(second)))
        on.clock.seconds = 1400.0
        on.keeper.submit(contact("c2", "VE7QRZ"))
    assert main(["show", str(journal), "--json"]) == 0
    shown = json.loads(capsys.readouterr().out)
    times = [datetime.fromisoformat(each["at"]) for each in shown["contacts"]]
    for told, really in zip(times, (true(300), true(1400)), strict=True):
        assert abs((told - really).total_seconds()) <= 0.5
    assert abs((datetime.fromisoformat(shown["session"]["opened_at"]) - TRUE_START).total_seconds()) <= 0.5
    first, fine = of_kind(journal, ClockOffset)
    assert (first.uncertainty_seconds, fine.uncertainty_seconds) == (20.0, 0.5)
    assert fine.seconds == pytest.approx(WRONG_BY.total_seconds(), abs=0.5)
    assert clock_words(folded(journal)).endswith("the system clock is 3 h 17 min slow")
    assert shown["clock"]["words"].startswith("time from the receiver, within 0.5 s")
    position = shown["position"]
    assert (position["lat_deg"], position["lon_deg"]) == pytest.approx((LAT_DEG, LON_DEG), abs=1e-6)
    assert (position["locator"], position["fix_locator"], position["satellites"]) == ("CN94fl", "JN57xo", 8)
    assert main(["show", str(journal)]) == 0
    for_people = capsys.readouterr().out
    assert "clock: time from the receiver, within 0.5 s; the system clock is 3 h 17 min slow" in for_people
    assert "position: JN57xo06, 47.608538 11.918078, 884 m, 8 satellites, at 17:20 UTC" in for_people
    raw = journal.read_text("utf-8")
    assert '"at":"2026-06-14T13:43:00.' in raw, "the lines stay as they were written"


def test_a_fix_that_goes_and_comes_is_told(tmp_path: Path) -> None:
    journal = tmp_path / "j.jsonl"
    with table(tmp_path) as on:
        for second in range(1, 20):
            on.say(second, rmc(true(second)), gga(true(second)), gsa())
        for second in range(20, 40):
            on.say(second, rmc(true(second), status="V"), gga(true(second), quality=0))
        for second in range(40, 45):
            on.say(second, rmc(true(second)), gga(true(second)), gsa())
    told = [event.condition for event in of_kind(journal, FeedChanged)]
    assert told == ["reading", "no_fix", "reading", "no_fix", "reading"]
    assert {event.feed for event in of_kind(journal, FeedChanged)} == {"gps"}
    places = of_kind(journal, PositionFixed)
    assert places[0].lat_deg == pytest.approx(LAT_DEG, abs=1e-6)
    assert len(places) <= 2


def test_a_receiver_that_is_pulled_out_is_told_and_comes_back(tmp_path: Path) -> None:
    with table(tmp_path) as on:
        on.say(1, *burst(true(1)))
        on.port.unplug()
        on.until(lambda: on.feed.state.condition == "lost")
        on.port.plug()
        on.clock.seconds = 5.0
        on.until(lambda: on.port.write(b"".join(burst(true(5)))) and on.feed.state.condition == "reading")
    assert [event.condition for event in of_kind(tmp_path / "j.jsonl", FeedChanged)][-2:] == [
        "lost",
        "reading",
    ]
    assert "position receiver" in of_kind(tmp_path / "j.jsonl", FeedChanged)[-2].words
