"""From the position receiver's thread to the journal and the screen.

What is recorded never waits for the screen. The system clock is compared, never set.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from msgspec import Struct
from msgspec.structs import replace

from fieldtui.feeds.batches import MOST_BYTES_OF_SERVICE
from fieldtui.feeds.clock import boot_seconds
from fieldtui.feeds.gpsd import SCHEME, GpsdStream
from fieldtui.feeds.nmea import NmeaSentences
from fieldtui.feeds.reader import FeedReader
from fieldtui.feeds.readings import PositionReading, Timed
from fieldtui.feeds.states import FeedCondition, FeedState
from fieldtui.journal.event_types import Event
from fieldtui.journal.events import FeedChanged
from fieldtui.journal.ids import new_id
from fieldtui.journal.stamp import Clock
from fieldtui.live.ports import ReceiverPort
from fieldtui.session.position import FEED
from fieldtui.session.recording.position import KnownClock, PositionRecorder, PositionSample

NAME = "position receiver"
SILENT_SECONDS = 5.0
NO_FIX_WORDS = "the position receiver talks, but has no fix: give it open sky, the first fix takes minutes"
_QUIET = frozenset({FeedCondition.OPENING})
"""No news for the journal. Of "stopped" only a fault is told: who stops a feed asks for no more words."""


class LatestPosition(Struct):
    """The newest reading, for the pane; written by the feed's thread, read by the screen's."""

    sample: PositionSample | None = None
    state: FeedState | None = None


class PositionFeed:
    """Reads the receiver, records what matters, keeps the newest reading at hand.

    `submit` gets the events of a batch, in the feed's thread, such as `lambda events: keeper.submit(*events)`.
    `known_clock` says what the journal knows of this boot's clock, so that it is not told again.
    """

    def __init__(
        self,
        port: ReceiverPort,
        submit: Callable[[Sequence[Event]], None],
        clock: Clock,
        *,
        known_clock: Callable[[], KnownClock | None] = lambda: None,
        feed_clock: Callable[[], float] | None = None,
        silent_after_seconds: float = SILENT_SECONDS,
    ) -> None:
        self.latest = LatestPosition()
        self._port = port
        self._submit = submit
        self._clock = clock
        self._recorder = PositionRecorder(FEED, known_clock)
        self._had_fix: bool | None = None
        self._no_fix_since: float | None = None
        # Two screens may want one receiver: what one cannot read, the other may be reading.
        self._writer = new_id()
        self._reader = FeedReader(
            NAME,
            port.url,
            GpsdStream if port.url.startswith(SCHEME) else NmeaSentences,
            self._on_readings,
            self._on_state,
            baud=port.baud,
            lines=port.lines,
            others=port.others,
            clock=feed_clock or boot_seconds,
            silent_after_seconds=silent_after_seconds,
            most_bytes=MOST_BYTES_OF_SERVICE,
        )

    def start(self) -> None:
        """Begin to read."""
        self._reader.start()

    def stop(self) -> None:
        """Stop reading."""
        self._reader.stop()

    @property
    def state(self) -> FeedState:
        """How the receiver is doing now; one that talks may still not know where it is."""
        state, since = self._reader.state, self._no_fix_since
        if since is None or state.condition is not FeedCondition.READING:
            return state
        return replace(state, condition=FeedCondition.NO_FIX, words=NO_FIX_WORDS, since=since)

    def _on_readings(self, timed: Sequence[Timed]) -> None:
        events: list[Event] = []
        for one in timed:
            if isinstance(one.item, PositionReading):
                self.latest.sample = sample = sample_of(one.item, one.monotonic_seconds)
                events += self._recorder.offer(sample, self._clock.now())
                events += self._fix_changed(one.monotonic_seconds)
        if events:
            self._submit(events)

    def _fix_changed(self, seconds: float) -> list[Event]:
        has_fix, before = self._recorder.has_fix, self._had_fix
        if has_fix:
            self._no_fix_since = None
        elif self._no_fix_since is None:
            self._no_fix_since = seconds
        if has_fix == before or (has_fix and before is None):
            self._had_fix = has_fix
            return []
        self._had_fix = has_fix
        state = self._reader.state
        if has_fix:
            return [self._changed(FeedCondition.READING, state.words)]
        return [self._changed(FeedCondition.NO_FIX, NO_FIX_WORDS)]

    def _on_state(self, state: FeedState) -> None:
        self.latest.state = state
        self._had_fix = self._no_fix_since = None
        if state.condition not in _QUIET:
            self._submit([self._changed(state.condition, state.words)])

    def _changed(self, condition: FeedCondition, words: str) -> Event:
        url = self._port.url
        return FeedChanged(feed=FEED, url=url, condition=str(condition), words=words, writer=self._writer)


def sample_of(reading: PositionReading, seconds: float) -> PositionSample:
    """A reading on the clock of the journal; a place that is not to be gone by is left out."""
    usable = reading.usable
    return PositionSample(
        mono_seconds=seconds,
        lat_deg=reading.lat_deg if usable else None,
        lon_deg=reading.lon_deg if usable else None,
        height_m=reading.height_m if usable else None,
        fix=reading.fix,
        dimensions=reading.dimensions,
        satellites=reading.satellites,
        hdop=reading.hdop,
        utc=reading.utc,
        time_trusted=reading.time_trusted,
        speed_m_s=reading.speed_m_s,
        course_deg=reading.course_deg,
    )
