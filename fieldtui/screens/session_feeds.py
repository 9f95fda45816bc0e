"""The feeds of one screen: pack, charger, position receiver and modem. What is not there is not even imported."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING

from fieldtui.journal.event_types import Event
from fieldtui.journal.events import AlarmAcknowledged
from fieldtui.screens.settings import MeterPort, Settings, ShuntPort
from fieldtui.session.deeds import Deed
from fieldtui.session.state import SessionState, ends_at_close

if TYPE_CHECKING:
    from fieldtui.feeds.packet_sending import PacketSender
    from fieldtui.journal.keeper import Keeper
    from fieldtui.screens.alarm_watch import AlarmWatch
    from fieldtui.screens.battery_feed import BatteryFeed, Latest
    from fieldtui.screens.packet_bell import MessageBell
    from fieldtui.screens.packet_feed import PacketFeed
    from fieldtui.screens.position_feed import PositionFeed
    from fieldtui.session.position_recorder import KnownClock, PositionSample


class SessionFeeds:
    """Started when the journal was read; `state` gives what is folded now. They write through the keeper."""

    def __init__(self, settings: Settings, keeper: Keeper, state: Callable[[], SessionState]) -> None:
        self._settings = settings
        self._keeper = keeper
        self._state = state
        self._watch: AlarmWatch | None = None
        self._shunt: BatteryFeed | None = None
        self._others: list[BatteryFeed] = []
        self._receiver: PositionFeed | None = None
        self._modem: PacketFeed | None = None
        self._bell: MessageBell | None = None
        self._known_clock: KnownClock | None = None

    def start(self) -> str:
        """Begin to read whatever is there; returns what is wrong with the stated pack, or nothing."""
        settings, problem = self._settings, ""
        for port in settings.other_meters:
            # What is measured beside the pack raises no alarm and tells no transmission.
            self._others.append(self._meter(port, thought_sending=lambda: False))
        if settings.shunt is not None:
            self._watch, problem = self._alarm_watch()
            self._shunt = self._meter(
                settings.shunt,
                thought_sending=lambda: self._state().identification.sending_source == "shunt",
                usual_transmit_amps=settings.usual_transmit_amps,
                watch=self._watch,
            )
        self._start_receiver()
        self._start_modem()
        return problem

    def _meter(
        self,
        port: ShuntPort | MeterPort,
        *,
        thought_sending: Callable[[], bool],
        usual_transmit_amps: float | None = None,
        watch: AlarmWatch | None = None,
    ) -> BatteryFeed:
        from fieldtui.screens.battery_feed import BatteryFeed  # noqa: PLC0415  (only where there is one)

        feed = BatteryFeed(
            port,
            self._record,
            thought_sending=thought_sending,
            usual_transmit_amps=usual_transmit_amps,
            clock=self._settings.feed_clock,
            pace=self._settings.pace,
            watch=watch,
        )
        feed.start()
        return feed

    def _start_receiver(self) -> None:
        settings = self._settings
        if settings.receiver is None:
            return
        from fieldtui.screens.position_feed import PositionFeed  # noqa: PLC0415  (only then)

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
        from fieldtui.screens.packet_bell import MessageBell  # noqa: PLC0415  (only then)
        from fieldtui.screens.packet_feed import PacketFeed  # noqa: PLC0415

        self._modem = PacketFeed(settings.modem, self._keeper, clock=settings.feed_clock)
        self._bell = MessageBell()
        self._modem.start()

    def _record(self, events: Iterable[Event]) -> None:
        """From the feeds' threads: a closed session gets no more readings, though the screen still shows them."""
        closed = self._state().closed_moment is not None
        told = [event for event in events if not (closed and ends_at_close(event))]
        if told:
            self._keeper.submit(*told)

    def stop(self) -> None:
        """Stop reading, and record what was counted and not told yet."""
        for feed in (*self._others, self._shunt, self._receiver, self._modem):
            if feed:
                feed.stop()

    # What the screen asks

    @property
    def latest(self) -> Latest | None:
        """The newest battery reading of this screen's own shunt."""
        return self._shunt.latest if self._shunt else None

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

    def message_rings(self) -> bool:
        """Whether a message by packet came that nobody was called to yet."""
        return self._bell is not None and self._bell.rings(self._state().packets)

    def each_second(self) -> None:
        """Watch and receiver work in threads of their own; they get whole values, never the state itself."""
        if self._receiver:
            self._note_clock()
        if self._watch:
            from fieldtui.screens.alarm_watch import Known  # noqa: PLC0415  (there with the watch)

            settings, state = self._settings, self._state()
            stamp = settings.clock.now()
            since = self.latest.sending_since if self.latest else None
            view = state.power.view(state.now(stamp), state.identification.sending_since)
            self._watch.known = Known(view, since)
            self._watch.on_second(stamp.mono_seconds)

    def _note_clock(self) -> None:
        """What the journal knows of this boot's clock, so that the receiver does not tell it again."""
        from fieldtui.session.position_recorder import KnownClock  # noqa: PLC0415  (there with the receiver)

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

    def _alarm_watch(self) -> tuple[AlarmWatch | None, str]:
        """Alarms need limits, and limits a pack."""
        stated = self._settings.pack
        if stated is None:
            return None, ""
        from fieldtui.power.packs import make_pack  # noqa: PLC0415  (only where there is a shunt)
        from fieldtui.screens.alarm_watch import AlarmWatch  # noqa: PLC0415

        try:
            pack = make_pack(stated.chemistry, stated.amp_hours, stated.cells, stated.parallel)
        except ValueError as error:
            return None, f"pack in the station file: {error}"
        watch = AlarmWatch(
            pack,
            lambda events: self._keeper.submit(*events),
            long_over_seconds=self._settings.long_over_seconds,
        )
        watch.restore(self._state().power.alarms.values(), self._settings.clock.now().mono_seconds)
        return watch, ""
