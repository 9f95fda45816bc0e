"""The bytes of a day go the whole way (parser, recorder, watch, journal file, fold, words): however they are handed
over, and however often somebody asks in between, the same alarms come at the same moments, and the pane says the same.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from msgspec import Struct
from msgspec.structs import replace

from fieldtui.feeds.label_frames import encode_label_frame
from fieldtui.feeds.readings import BatteryReading
from fieldtui.feeds.recogniser import ShuntRecogniser
from fieldtui.journal.event_types import Event
from fieldtui.journal.events import AlarmCleared, AlarmRaised, PackStated, SessionOpened
from fieldtui.journal.file import Draft, Journal
from fieldtui.journal.line import read_event
from fieldtui.live.feeds import SessionFeeds
from fieldtui.live.ports import ShuntPort
from fieldtui.radio.channels.plan import Plan
from fieldtui.screens.draw.glyphs import SETS
from fieldtui.screens.draw.panes import battery_lines
from fieldtui.screens.settings import Settings
from fieldtui.screens.views.panes import battery_view
from fieldtui.session.recording.battery import Sample
from fieldtui.session.state import SessionState
from tests.support.hand_clock import HandClock

PACK = PackStated(chemistry="lifepo4", amp_hours=7.0, cells=4)
LONG_OVER = 60.0
Frame = tuple[float, bytes]
"""Seconds into the day, and what the shunt sends then."""


class Stretch(Struct, frozen=True):
    """Some seconds in which the shunt says the same."""

    seconds: int
    volts: float
    amps: float
    every: int = 1
    split: bool = False
    """Whether volts and amps come in frames of their own, as some senders do."""
    silent: bool = False


STRETCHES = st.builds(
    Stretch,
    seconds=st.integers(1, 90),
    volts=st.sampled_from([13.3, 12.9, 12.1, 11.9, 11.15, 10.55, 10.3, 26.4]),
    amps=st.sampled_from([-0.45, -0.45, -6.5, -9.0, 2.0]),
    every=st.sampled_from([1, 1, 1, 4, 10]),
    split=st.booleans(),
    silent=st.integers(0, 5).map(lambda dice: dice == 0),
)


def frames(day: list[Stretch]) -> Iterator[Frame]:
    """What the shunt sends: one frame a second, or fewer."""
    second = 0.0
    for part in day:
        for number in range(part.seconds):
            second += 1.0
            if part.silent or number % part.every:
                continue
            volts, amps = ("V", f"{1000 * part.volts:.0f}"), ("I", f"{1000 * part.amps:.0f}")
            fields = [volts, amps] if not part.split else [volts] if number % 2 else [amps]
            yield second, encode_label_frame([*fields, ("T", "21")])


class Station:
    """A screen's feeds over a real journal file, without port and painting; time is what it is told."""

    def __init__(self, folder: Path, start_percent: float) -> None:
        self.clock = HandClock()
        self.zero = self.clock.now().mono_seconds
        self.state = SessionState()
        self._journal = Journal(folder / "hill.jsonl")
        self._waiting: list[Draft] = []
        opening = SessionOpened(program="fieldtui test", station_call="W7QRV")
        pack = replace(PACK, start_percent=start_percent)
        self.submit(opening, pack)
        self.fold()
        settings = Settings(
            folder / "hill.jsonl", opening, lambda: Plan("none", ()), self.clock, ShuntPort("/nowhere"),
            pack=pack, long_over_seconds=LONG_OVER,
        )  # fmt: skip
        self.feeds = SessionFeeds(settings, self, lambda: self.state)  # type: ignore[arg-type]
        self.feeds.prepare()
        self._parser = ShuntRecogniser("charge")

    def submit(self, *events: Event, mono_seconds: float | None = None) -> None:
        """As the keeper takes them: written later, with the moment when they happened."""
        stamp = self.clock.now()
        stamp = stamp if mono_seconds is None else stamp.moved_to(mono_seconds)
        self._waiting += [Draft(stamp, event) for event in events]

    def receive(self, frame: Frame) -> None:
        """Bytes arrive at their second."""
        at = self.zero + frame[0]
        for item in self._parser.feed(frame[1]):
            if isinstance(item, BatteryReading):
                assert self.feeds.shunt is not None
                self.feeds.shunt.take(Sample(at, item.volts, item.amps, None, item.temperature_c))

    def fold(self) -> None:
        """The keeper's turn and the screen's: what waits is written, what was written is folded."""
        batches, self._waiting = self._journal.append(self._waiting), []
        for batch in batches:
            for envelope in batch.envelopes:
                self.state.apply(envelope)
                if hasattr(self, "feeds"):
                    self.feeds.follow(envelope)

    def tick(self, second: float) -> None:
        """The screen's second."""
        self.clock.seconds = second
        self.feeds.each_second()

    def end(self, second: float) -> tuple[list[tuple[str, str, float, str]], list[str]]:
        """The alarms by their moments, and the pane's words at the end of the day."""
        for _ in range(4):
            self.fold()
            self.tick(second + 1.0)
        self.fold()
        words = battery_view(self.state, self.feeds.latest, self.clock.now(), has_shunt=True)
        pane = [line for line, _ in battery_lines(words, 60, 6, SETS["ascii"])]
        told = []
        self._journal.close()
        with Journal(self._journal.path, writable=False) as journal:
            for envelope in (one for batch in journal.follow() for one in batch.envelopes):
                event, at = read_event(envelope), round(envelope.mono - self.zero, 3)
                if isinstance(event, AlarmRaised):
                    told.append((event.alarm, "raised", at, event.words))
                elif isinstance(event, AlarmCleared):
                    told.append((event.alarm, "cleared", at, ""))
        return sorted(told, key=lambda one: (one[2], one)), pane


def lived(
    day: list[Stretch], *, ticks: list[float], writes_every: int, start_percent: float = 60.0
) -> tuple[list, list[str]]:
    """A day with somebody asking at those seconds, and the journal's thread coming round every so many frames.

    Never, with 0: then all bytes wait until the day is over.
    """
    last = float(sum(part.seconds for part in day))
    moments = sorted([(at, b"") for at in ticks if at <= last] + list(frames(day)), key=lambda one: one[0])
    with TemporaryDirectory() as folder:
        station, frames_seen = Station(Path(folder), start_percent), 0
        station.clock.seconds = 0.0 if writes_every else last
        for at, data in moments:
            station.clock.seconds = max(station.clock.seconds, at)
            if not data:
                station.tick(at)
                continue
            station.receive((at, data))
            frames_seen += 1
            if writes_every and frames_seen % writes_every == 0:
                station.fold()
        return station.end(last)


def seconds_of(day: list[Stretch], step: float, first: float = 0.0) -> list[float]:
    """Every so many seconds."""
    last = sum(part.seconds for part in day)
    return [first + number * step for number in range(int(last / step) + 1)]


@settings(max_examples=40, deadline=None)
@given(st.lists(STRETCHES, min_size=1, max_size=8), st.sampled_from([60.0, 17.0, 7.0]), st.integers(0, 10**6))
@example([Stretch(90, 12.9, -9.0)], 16.0, 0)
@example([Stretch(90, 12.9, -9.0), Stretch(90, 13.3, 2.0), Stretch(90, 11.9, -0.45)], 7.0, 0)
def test_the_same_day_gives_the_same_alarms_however_it_is_asked_for(
    day: list[Stretch], start_percent: float, seed: int
) -> None:
    """A tick each second; ten; one in twenty, as at twenty times the pace; at random; none, and all in one batch."""
    dice = Random(seed)

    def told_with(ticks: list[float], writes_every: int) -> tuple[list, list[str]]:
        return lived(day, ticks=ticks, writes_every=writes_every, start_percent=start_percent)

    at_random = [dice.uniform(0, 400) for _ in range(dice.randrange(200))]
    second = told_with(seconds_of(day, 1.0, 0.37), 1)
    ways = {
        "ten ticks a second": told_with(seconds_of(day, 0.1), 3),
        "a tick in twenty seconds": told_with(seconds_of(day, 20.0), 20),
        "ticks at random": told_with(at_random, dice.randrange(1, 40)),
        "one batch": told_with([], 0),
    }
    for name, told in ways.items():
        assert told == second, name


def down(*stairs: float) -> list[Stretch]:
    """Down the stairs, 35 s on each."""
    return [Stretch(35, volts, -0.45) for volts in stairs]


def test_a_pack_that_runs_down_is_called_at_each_step() -> None:
    """One frame a second, a tick between any two: each step is raised when it has held for its seconds."""
    told, pane = lived(
        down(13.2, 11.9, 11.15, 10.55), ticks=seconds_of(down(13.2) * 4, 1.0, 0.5), writes_every=1
    )
    raised = [(kind, at) for kind, happening, at, _ in told if happening == "raised"]
    assert raised == [("low", 44.0), ("very-low", 79.0), ("cutoff-near", 109.0)]
    assert any("STOP SOON" in line for line in pane)


def test_a_gap_is_no_time_in_which_a_voltage_held() -> None:
    """Low for five seconds, nothing for a minute, low for two: nobody saw eight seconds of it, until there were."""
    low, nothing = Stretch(5, 11.9, -0.45), Stretch(60, 0.0, 0.0, silent=True)
    told, _ = lived([low, nothing, Stretch(2, 11.9, -0.45)], ticks=[], writes_every=1)
    assert [kind for kind, *_ in told] == ["feed-silent"]
    told, _ = lived([low, nothing, Stretch(8, 11.9, -0.45)], ticks=[], writes_every=1)
    # Held from second 1 to 5 and from 66 on: eight seconds are full at 70.
    assert ("low", "raised", 70.0) in [one[:3] for one in told]


@pytest.mark.parametrize("every", [10, 20])
def test_a_slow_feed_is_no_gap(every: int) -> None:
    """A meter that is read every ten or twenty seconds can still tell a low pack."""
    told, _ = lived([Stretch(120, 10.3, -0.45, every=every)], ticks=[], writes_every=1)
    assert "cutoff-near" in [kind for kind, *_ in told]


def test_the_charge_is_judged_at_the_moment_of_its_line() -> None:
    """17 percent give or take 5, and 9 A from 7 Ah: at most 22 percent less 2.34 percent in a minute (nine tenths of
    what runs by the rating, since the pack may hold a tenth more; less 0.02 A of offset).
    """
    told, pane = lived(
        [Stretch(100, 12.9, -9.0)], ticks=seconds_of([Stretch(100, 12.9, -9.0)], 1.0), writes_every=7,
        start_percent=17.0,
    )  # fmt: skip
    ((kind, happening, at, _),) = [one for one in told if one[0].startswith("charge")]
    assert (kind, happening) == ("charge-low", "raised")
    points_a_second = 100 / 7 / 3600 * (9.0 / 1.1 - 0.02)
    due = 1.0 + 2.0 / points_a_second
    assert due <= at <= due + 11.0, "the first line after it: they are ten seconds apart at most"
    assert any("LOW" in line for line in pane)


def test_an_over_that_is_too_long_is_told_when_it_is_too_long() -> None:
    """Whenever somebody asks: its moment is that of the last second that was allowed."""
    day = [Stretch(20, 13.2, -0.45), Stretch(90, 12.8, -6.5), Stretch(10, 13.2, -0.45)]
    (first, second), _ = lived(day, ticks=seconds_of(day, 7.0), writes_every=2)
    assert (first[0], first[1], second[0], second[1]) == ("long-over", "raised", "long-over", "cleared")
    # Sending from second 21, told a sample or two later.
    assert 21.0 + LONG_OVER <= first[2] <= 24.0 + LONG_OVER
    assert 110.0 < second[2] <= 114.0
