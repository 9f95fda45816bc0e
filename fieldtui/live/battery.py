"""From the shunt's thread to the journal and the screen.

What is recorded never waits for the screen: a stalled link may stop the drawing, but not the log.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from msgspec import Struct

from fieldtui.feeds.clock import boot_seconds
from fieldtui.feeds.modbus import ModbusPoller
from fieldtui.feeds.reader import FeedReader
from fieldtui.feeds.readings import BatteryReading, Parser, Timed
from fieldtui.feeds.recogniser import ShuntRecogniser
from fieldtui.feeds.states import FeedCondition, FeedState
from fieldtui.journal.event_types import Event
from fieldtui.journal.events import FeedChanged
from fieldtui.journal.ids import new_id
from fieldtui.live.alarm_watch import AlarmWatch, gap_seconds_at
from fieldtui.live.ports import MeterPort, ShuntPort
from fieldtui.session.recording.battery import BatteryRecorder, Role, Sample

FEEDS: Mapping[Role, str] = {"pack": "shunt", "charger": "charger", "second": "second"}
"""The name of a feed among people, by what it measures."""
SILENT_SECONDS = 5.0
NAMES: Mapping[Role, str] = {"second": "second meter"}
"""What a feed is called in words, where its name alone would not do."""
QUIET = frozenset({FeedCondition.OPENING})
"""No news for the journal. Of "stopped" only a fault is told: who stops a feed asks for no more words."""


class Latest(Struct):
    """The newest reading, for the pane; written by the feed's thread, read by the screen's."""

    sample: Sample | None = None
    state: FeedState | None = None
    sending_since: float | None = None
    """What the current tells, before the journal has it; on the clock of the samples."""
    perhaps_sending: bool = False
    """Whether it looks like a carrier, which one sample cannot tell from another load."""

    @property
    def sending(self) -> bool:
        """Whether the carrier is up now."""
        return self.sending_since is not None


class BatteryFeed:
    """Reads the shunt, records what matters, keeps the newest reading at hand.

    `submit` gets the events of a reading and its moment, or events of now, in the feed's thread. What the journal
    says is asked by `thought_sending`, which must not look at what another thread changes.
    """

    def __init__(
        self,
        port: ShuntPort | MeterPort,
        submit: Callable[[Sequence[Event], float | None], None],
        *,
        thought_sending: Callable[[], bool],
        usual_transmit_amps: float | None,
        clock: Callable[[], float] | None,
        pace: float = 1.0,
        watch: AlarmWatch | None = None,
    ) -> None:
        self.latest = Latest()
        self._sending_since: float | None = None
        """What the newest reading told, however old that is."""
        self._record = submit
        self._watch = watch
        self._thought_sending = thought_sending
        # Two screens may read one shunt: their lines are told apart, and what both saw counts once.
        self._writer = new_id()
        self._feed = feed = FEEDS[port.role]
        self._recorder = BatteryRecorder(
            feed,
            usual_transmit_amps=usual_transmit_amps,
            gap_seconds=gap_seconds_at(pace),
            role=port.role,
            writer=self._writer,
        )
        self._reader = FeedReader(
            NAMES.get(port.role, feed),
            port.url,
            parser_factory(port),
            self._on_readings,
            self._on_state,
            baud=port.baud,
            parity=port.parity if isinstance(port, MeterPort) else "N",
            lines=port.lines,
            others=port.others,
            clock=clock or boot_seconds,
            silent_after_seconds=SILENT_SECONDS * max(1.0, pace / 2),
        )

    def start(self) -> None:
        """Begin to read."""
        self._reader.start()

    def stop(self) -> None:
        """Stop reading, and record the sums of the last seconds."""
        self._reader.stop()
        last = self.latest.sample
        self._submit(self._recorder.close(), last.mono_seconds if last else None)

    @property
    def feed(self) -> str:
        """Its name in the journal."""
        return self._feed

    @property
    def state(self) -> FeedState:
        """How the feed is doing now."""
        return self._reader.state

    def _on_readings(self, timed: Sequence[Timed]) -> None:
        for one in timed:
            if isinstance(one.item, BatteryReading):
                self.take(_sample(one.item, one.monotonic_seconds))

    def take(self, sample: Sample) -> None:
        """A reading, in the order of their moments."""
        events = self._recorder.offer(sample, thought_sending=self._thought_sending())
        self.latest.sample = self._recorder.newest
        self._note_sending(sample)
        self._submit(events, sample.mono_seconds)
        if self._watch:
            self._watch.on_sample(sample, sending_since=self.latest.sending_since)

    def _note_sending(self, sample: Sample) -> None:
        self.latest.perhaps_sending = self._recorder.detector.perhaps_sending
        if not self._recorder.detector.sending:
            self._sending_since = None
        elif self._sending_since is None:
            self._sending_since = sample.mono_seconds
        self.latest.sending_since = self._sending_since

    def _on_state(self, state: FeedState) -> None:
        self.latest.state = state
        if state.condition is not FeedCondition.READING:
            # Nobody knows any more: an over must not grow, and be warned of, while nothing is measured. If it
            # still goes on when readings come again, it began when it began.
            self.latest.sending_since, self.latest.perhaps_sending = None, False
            if self._watch:
                self._watch.on_lost(state.since)
        if state.condition not in QUIET:
            event = FeedChanged(
                feed=self._feed,
                url=state.url,
                condition=str(state.condition),
                words=state.words,
                writer=self._writer,
            )
            self._submit([event])

    def _submit(self, events: list[Event], seconds: float | None = None) -> None:
        if events:
            self._record(events, seconds)


def parser_factory(port: ShuntPort | MeterPort) -> Callable[[], Parser]:
    """What understands the port: recognised by listening, or asked for registers."""
    if isinstance(port, MeterPort):
        device = port.device
        return lambda: ModbusPoller(device)
    sign = port.amps_positive_is
    return lambda: ShuntRecogniser(sign)


def _sample(reading: BatteryReading, seconds: float) -> Sample:
    return Sample(
        mono_seconds=seconds,
        volts=reading.volts,
        amps=reading.amps,
        charge_percent=reading.charge_percent,
        temperature_c=reading.temperature_c,
    )
