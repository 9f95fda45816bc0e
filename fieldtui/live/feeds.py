"""The feeds of one screen: pack, charger, position receiver and modem. What is not there is not even imported."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING

from msgspec import Struct

from fieldtui.journal.event_types import Event
from fieldtui.journal.events import AlarmAcknowledged
from fieldtui.journal.line import Envelope, read_event
from fieldtui.live.ports import MODEM, RECEIVER, FeedSettings, MeterPort, ShuntPort
from fieldtui.session.deed import Deed
from fieldtui.session.state import SessionState, ends_at_close

if TYPE_CHECKING:
    from fieldtui.feeds.packet_sending import PacketSender
    from fieldtui.feeds.states import FeedState
    from fieldtui.journal.keeper import Keeper
    from fieldtui.live.alarm_watch import AlarmWatch
    from fieldtui.live.battery import BatteryFeed, Latest
    from fieldtui.live.packets import PacketFeed
    from fieldtui.live.position import PositionFeed
    from fieldtui.session.recording.position import KnownClock, PositionSample


ALARM_KINDS = frozenset(("alarm-raised", "alarm-cleared", "alarm-acknowledged"))
ESTIMATED_KINDS = frozenset(("battery-sampled", "transmission-started", "transmission-ended"))
"""Lines that move what is estimated of the battery."""


class Known(Struct, frozen=True):
    """What the threads of the feeds may know of the session: a value of its own, handed over whole."""

    closed: bool = False
    sending_by_shunt: bool = False
    """Whether the journal says that the carrier is up, as the shunt told."""


class SessionFeeds:
    """Started when the journal was read; they write through the keeper.

    `state` gives what is folded now, and is asked in the screen's thread only: the feeds' threads see `Known`.
    """

    def __init__(self, settings: FeedSettings, keeper: Keeper, state: Callable[[], SessionState]) -> None:
        self._settings = settings
        self._keeper = keeper
        self._state = state
        self._watch: AlarmWatch | None = None
        self.shunt: BatteryFeed | None = None
        """What measures the pack."""
        self._others: list[BatteryFeed] = []
        self._receiver: PositionFeed | None = None
        self._modem: PacketFeed | None = None
        self._known_clock: KnownClock | None = None
        self._known = Known()

    def start(self) -> str:
        """Begin to read whatever is there; returns what is wrong with the stated pack, or nothing."""
        problem = self.prepare()
        for feed in (*self._others, self.shunt):
            if feed:
                feed.start()
        self._start_receiver()
        self._start_modem()
        return problem

    def prepare(self) -> str:
        """Make what takes the readings of the battery and judges them, without opening a port."""
        settings, problem = self._settings, ""
        self.publish()
        for port in settings.other_meters:
            # What is measured beside the pack raises no alarm and tells no transmission.
            self._others.append(self._meter(port, thought_sending=lambda: False))
        if settings.shunt is not None or self._state().power.alarms:
            problem = self._begin_watch()
        if settings.shunt is not None:
            self.shunt = self._meter(
                settings.shunt,
                thought_sending=lambda: self._known.sending_by_shunt,
                usual_transmit_amps=settings.usual_transmit_amps,
                watch=self._watch,
            )
        return problem

    def _meter(
        self,
        port: ShuntPort | MeterPort,
        *,
        thought_sending: Callable[[], bool],
        usual_transmit_amps: float | None = None,
        watch: AlarmWatch | None = None,
    ) -> BatteryFeed:
        from fieldtui.live.battery import BatteryFeed  # noqa: PLC0415  (only where there is one)

        return BatteryFeed(
            port,
            self._record,
            thought_sending=thought_sending,
            usual_transmit_amps=usual_transmit_amps,
            clock=self._settings.feed_clock,
            pace=self._settings.pace,
            watch=watch,
        )

    def _start_receiver(self) -> None:
        settings = self._settings
        if settings.receiver is None:
            return
        from fieldtui.live.position import PositionFeed  # noqa: PLC0415  (only then)

        self._note_clock()
        self._receiver = PositionFeed(
            settings.receiver,
            self._record,
            settings.clock,
            known_clock=lambda: self._known_clock,
            feed_clock=settings.feed_clock,
        )
        self._receiver.start()

    def _start_modem(self) -> None:
        settings = self._settings
        if settings.modem is None:
            return
        from fieldtui.live.packets import PacketFeed  # noqa: PLC0415  (only then)

        self._modem = PacketFeed(settings.modem, self._keeper, clock=settings.feed_clock)
        self._modem.start()

    def _record(self, events: Iterable[Event], mono_seconds: float | None = None) -> None:
        """From the feeds' threads: a closed session gets no more readings, though the screen still shows them."""
        closed = self._known.closed
        told = [event for event in events if not (closed and ends_at_close(event))]
        if told:
            self._keeper.submit(*told, mono_seconds=mono_seconds)

    def stop(self) -> None:
        """Stop reading, and record what was counted and not told yet."""
        for feed in (*self._others, self.shunt, self._receiver, self._modem):
            if feed:
                feed.stop()

    # What the screen asks

    @property
    def states(self) -> list[tuple[str, FeedState]]:
        """How each feed of this screen is doing now, by its name in the journal."""
        told = [(feed.feed, feed.state) for feed in (self.shunt, *self._others) if feed]
        if self._receiver:
            told.append((RECEIVER, self._receiver.state))
        if self._modem:
            told.append((MODEM, self._modem.state))
        return told

    @property
    def latest(self) -> Latest | None:
        """The newest battery reading of this screen's own shunt."""
        return self.shunt.latest if self.shunt else None

    @property
    def position(self) -> PositionSample | None:
        """The newest reading of this screen's own position receiver."""
        return self._receiver.latest.sample if self._receiver else None

    @property
    def sender(self) -> PacketSender | None:
        """The gate to the modem's transmitter; shut unless station file and operator open it."""
        return self._modem.sender if self._modem else None

    @property
    def alarm_repeats(self) -> int:
        """How often an ignored alarm was said again."""
        return self._watch.repeats if self._watch else 0

    def each_second(self) -> None:
        """What time alone brings: alarms that come due, and those that are said again."""
        self.publish()
        if self._watch:
            self._watch.on_second(self._settings.clock.now().mono_seconds)

    def publish(self) -> None:
        """Hand over what the feeds' threads may know of the state, which is the screen's own."""
        state = self._state()
        by_shunt = state.identification.sending_source == "shunt"
        self._known = Known(state.closed_moment is not None, by_shunt)
        if self._receiver:
            self._note_clock()

    def follow(self, envelope: Envelope) -> None:
        """A line was folded: what it says of the battery is judged at its own moment, whenever it is read."""
        if envelope.boot != self._settings.clock.now().boot:
            return
        if envelope.kind in ALARM_KINDS:
            if self._watch is None:
                # No shunt, but what a person read from a meter: it is said again, and can be answered.
                self._begin_watch()
            elif (event := read_event(envelope)) is not None:
                self._watch.on_line(event, envelope.mono)
        elif envelope.kind in ESTIMATED_KINDS and self._watch and self.shunt:
            from fieldtui.power.alarms.rules import Estimate  # noqa: PLC0415  (there with the watch)

            high, rising = self._state().power.judged()
            self._watch.on_estimate(Estimate(envelope.mono, high, rising))

    def _note_clock(self) -> None:
        """What the journal knows of this boot's clock, so that the receiver does not tell it again."""
        from fieldtui.session.recording.position import KnownClock  # noqa: PLC0415  (there with the receiver)

        clock, boot = self._state().clock, self._settings.clock.now().boot
        off, offset = clock.off_now(boot), clock.offset(boot)
        if off is not None and offset is not None:
            self._known_clock = KnownClock(off, offset.uncertainty_seconds)

    def acknowledge(self) -> Deed | None:
        """What stands was seen: it stays on the screen, and is not said again."""
        if self._watch:
            self._watch.acknowledge()
        fresh = [alarm.alarm for alarm in self._state().power.alarms.values() if not alarm.acknowledged]
        return Deed(tuple(AlarmAcknowledged(alarm=alarm) for alarm in fresh), "alarm seen") if fresh else None

    def _begin_watch(self) -> str:
        """Alarms need limits, and limits a pack; returns what is wrong with it, or nothing."""
        stated = self._settings.pack
        if stated is None:
            return ""
        from fieldtui.live.alarm_watch import AlarmWatch  # noqa: PLC0415
        from fieldtui.power.packs import make_pack  # noqa: PLC0415  (only where there is a shunt)

        try:
            pack = make_pack(stated.chemistry, stated.amp_hours, stated.cells, stated.parallel)
        except ValueError as error:
            return f"pack in the station file: {error}"
        self._watch = AlarmWatch(
            pack,
            lambda events, seconds: self._keeper.submit(*events, mono_seconds=seconds),
            long_over_seconds=self._settings.long_over_seconds,
            pace=self._settings.pace,
        )
        now = self._settings.clock.now().mono_seconds
        self._watch.restore(self._state().power.alarms.values(), now)
        return ""
