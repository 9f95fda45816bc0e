"""The state of a session: what its journal says, folded line by line.

`SessionState` depends on the lines and on nothing else: no clock, no file, no setting. The screen, the
commands and every output fold the same lines with the same code, so they cannot disagree, and a restart
shows exactly what was there before.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import datetime
from typing import Any

from fieldtui.journal import events as kinds
from fieldtui.journal import packet_events as packet_kinds
from fieldtui.journal.card_events import CARD_KINDS, CardPromised, CardReceived, CardSent
from fieldtui.journal.event_types import Act, Event
from fieldtui.journal.line import UNREADABLE, Envelope, event_readers, read_event
from fieldtui.journal.plan_events import KitTicked, PathPlanned, PlanMade
from fieldtui.journal.position_events import PositionFixed
from fieldtui.journal.stamp import Stamp
from fieldtui.journal.taken_back import PREFIX, TAKEN_BACK, as_written
from fieldtui.radio.rules import rule_of
from fieldtui.session.acts import ActsFold
from fieldtui.session.battery import BatteryFold
from fieldtui.session.battery_words import flow_word
from fieldtui.session.cards import CardsFold
from fieldtui.session.clock import ClockFold
from fieldtui.session.contacts import Contact, ContactsFold, Heard
from fieldtui.session.feeds_said import FeedsFold
from fieldtui.session.identification.fold import IdentificationFold
from fieldtui.session.kit import KitFold
from fieldtui.session.packets.fold import PacketsFold
from fieldtui.session.plan.fold import PlanFold
from fieldtui.session.position import PositionFold
from fieldtui.session.power import PowerFold
from fieldtui.session.recount import Recount
from fieldtui.session.stated_times import put_right
from fieldtui.session.timeline import Bridge, Moment, Timeline
from fieldtui.session.transmissions import Overs
from fieldtui.session.tuning import PlaceFold, TuningFold

MOST_NOTES = 500
_ASIDE = frozenset((TAKEN_BACK, *CARD_KINDS, *(f"{PREFIX}{kind}" for kind in CARD_KINDS)))
"""Written at a desk, maybe days later: such a line moves no clock of the session."""
Handler = Callable[[Any, Moment], None]


def ends_at_close(event: Event) -> bool:
    """Whether such events are told, and counted, only up to the close: readings, the way, what the current tells.

    Not the end of what is being sent, alarms and packets: they are worth knowing while the screen is open.
    """
    if isinstance(event, kinds.TransmissionStarted):
        return event.source == "shunt"
    return isinstance(event, kinds.BatterySampled | PositionFixed)


class SessionState:
    """All folds of one journal."""

    def __init__(self) -> None:
        self.timeline = Timeline()
        self.clock = ClockFold()
        self.acts = ActsFold()
        self.contacts = ContactsFold()
        self.cards = CardsFold(self.contacts)
        self.tunings = Recount(TuningFold())
        self.tuning = self.tunings.fold
        self.place = PlaceFold()
        self.battery = BatteryFold()
        self.power = PowerFold()
        self.position = PositionFold()
        self.feeds = FeedsFold()
        self.kit = KitFold()
        self.plan = PlanFold()
        self.packets = PacketsFold()
        self.identifying = Recount(IdentificationFold(rule_of("us", None)))
        self.identification = self.identifying.fold
        self.overs = Overs(self.timeline, self.identifying, self.battery, self.power)
        self.opened: kinds.SessionOpened | None = None
        self.ruled: kinds.SessionOpened | kinds.RuleAssumed | None = None
        """The line that says by which rule calls are counted now."""
        self.opened_moment: Moment | None = None
        self.closed_moment: Moment | None = None
        self.last_moment: Moment | None = None
        self.notes: list[tuple[Moment, str]] = []
        self.lines = 0
        self.unknown_kinds = 0
        self._handlers: dict[str, Handler] = {
            kinds.KIND_OF[event]: self._noting(handler) if issubclass(event, Act) else handler
            for event, handler in self._table().items()
        }

    def _noting(self, handler: Handler) -> Handler:
        """A handler that also notes which act its event belongs to."""

        def note(event: Act, moment: Moment) -> None:
            self._note_act(event)
            handler(event, moment)

        return note

    def _note_act(self, event: Act) -> None:
        amended = event.contact if isinstance(event, kinds.ContactAmended) and event.act else ""
        self.acts.on_line(event, self.contacts.by_id.get(amended))

    def _table(self) -> dict[type[Event], Handler]:
        power = self.power
        return {
            kinds.SessionOpened: self._on_opened,
            kinds.SessionResumed: self._on_resumed,
            kinds.SessionClosed: self._on_closed,
            kinds.ContactLogged: self._on_logged,
            kinds.ContactAmended: self._on_amended,
            kinds.ContactWithdrawn: self._on_withdrawn,
            kinds.CallHeard: self.contacts.on_heard,
            kinds.NoteWritten: self._on_note,
            kinds.Identified: self._on_identified,
            kinds.TransmissionStarted: self.overs.on_started,
            kinds.TransmissionEnded: self.overs.on_ended,
            kinds.CommunicationEnded: lambda _, moment: self.identifying.take(
                moment.seconds, IdentificationFold.on_communication_ended, moment
            ),
            kinds.BatterySampled: self._on_sampled,
            kinds.VoltsRead: self._on_volts,
            kinds.PackStated: lambda event, _: power.on_pack(event),
            kinds.AlarmRaised: lambda event, moment: power.on_alarm(event, moment.seconds),
            kinds.AlarmCleared: lambda event, _: power.on_alarm_cleared(event),
            kinds.AlarmAcknowledged: lambda event, _: power.on_alarm_acknowledged(event),
            kinds.FeedChanged: self._on_feed,
            PositionFixed: self.position.on_fixed,
            kinds.Tuned: self._on_tuned,
            kinds.PlaceSet: lambda event, _: self.place.on_set(event),
            kinds.RuleAssumed: self._on_rule,
            kinds.ClockOffset: self._on_offset,
            KitTicked: self.kit.on_ticked,
            PlanMade: lambda event, _: self.plan.on_made(event),
            PathPlanned: lambda event, _: self.plan.on_path(event),
            packet_kinds.PacketHeard: lambda event, moment: self.packets.on_heard(
                event, moment, self.own_call
            ),
            packet_kinds.PacketDamaged: self.packets.on_damaged,
            packet_kinds.PacketsLeftOut: self.packets.on_left_out,
            packet_kinds.PacketSent: self._on_packet_sent,
            packet_kinds.MessagesSeen: lambda event, _: self.packets.on_seen(event),
        }

    def apply(self, envelope: Envelope) -> None:
        """Take the next line of the journal. A kind that this version does not know is passed over."""
        self.apply_all((envelope,))

    def apply_all(self, envelopes: Iterable[Envelope]) -> None:
        """Take lines in file order."""
        timeline, observe, identification = self.timeline, self.clock.observe, self.identification
        advance, handler_of = timeline.advance, self._handlers.get
        for envelope in envelopes:
            self.lines += 1
            kind = envelope.kind
            handler = handler_of(kind)
            if handler is None and kind in _ASIDE:
                self._on_aside(envelope)
                continue
            before = self.last_moment
            moment = self.last_moment = advance(envelope)
            # At every line, readings and those after the close too: a clock that was set may be set back by the next.
            observe(moment)
            if timeline.bridged is not None:
                self._on_boot(timeline.bridged)
            if handler is None:
                self._on_other(envelope, moment)
                continue
            try:
                event = event_readers[kind](envelope.data)
            except UNREADABLE:
                self.unknown_kinds += 1
                continue
            if self.closed_moment is not None and self._after_close(event, moment, self.closed_moment):
                self.last_moment = before
                continue
            if identification.sending_since is not None and type(event) is not kinds.TransmissionEnded:
                self.overs.end_unproved(moment)
            handler(event, moment)

    def _after_close(self, event: Event, moment: Moment, closed: Moment) -> bool:
        """Whether a screen left open told it of the time after the close, which is no part of the session."""
        return ends_at_close(event) and moment.seconds > closed.seconds

    # Whole-session events

    def _on_opened(self, event: kinds.SessionOpened, moment: Moment) -> None:
        if self.opened is not None:
            return
        self.opened, self.opened_moment, self.ruled = event, moment, event
        self.feeds.on_begun(moment)
        self.place.on_opened(event)
        base_call = None
        if event.station_call and event.operator_call:
            from fieldtui.radio.callsign import is_special_event  # noqa: PLC0415  (few sessions have two calls)

            if is_special_event(event.station_call):
                base_call = event.operator_call.upper()
        self.identifying.take_in_line(
            moment.seconds,
            IdentificationFold.on_opened,
            rule_of(event.rule, event.interval_seconds),
            base_call,
        )

    def _on_rule(self, event: kinds.RuleAssumed, moment: Moment) -> None:
        self.ruled = event
        rule = rule_of(event.rule, event.interval_seconds)
        self.identifying.take_in_line(moment.seconds, IdentificationFold.on_opened, rule, None)

    def _on_boot(self, bridge: Bridge) -> None:
        """The machine was off: nothing was sent after the last line before that."""
        self.overs.end_as_proved(bridge.before, bridge.up_to)
        if bridge.lost:
            self.identifying.take_in_line(bridge.up_to, IdentificationFold.on_time_lost, bridge.up_to)
            self.power.on_time_lost()

    def _on_offset(self, event: kinds.ClockOffset, moment: Moment) -> None:
        self.clock.on_offset(event, moment)
        moves = self.timeline.on_measured(event.seconds, moment)
        if moves is not None:
            self.identifying.take_in_line(moment.seconds, IdentificationFold.on_bridged_again, *moves)
            self.battery.on_bridged_again(*moves)
            self.power.on_bridged_again(*moves)

    def _on_resumed(self, _: kinds.SessionResumed, moment: Moment) -> None:
        self.closed_moment = None
        self.feeds.on_begun(moment)

    def _on_closed(self, _: kinds.SessionClosed, moment: Moment) -> None:
        self.closed_moment = moment
        self.feeds.on_closed()

    def _on_tuned(self, event: kinds.Tuned, moment: Moment) -> None:
        before = self.tuning.sends_on
        self.tunings.take(moment.seconds, TuningFold.on_tuned, event, name=event.act)
        if before is not None and self.tuning.sends_on != before:
            self.identifying.take(moment.seconds, IdentificationFold.on_channel_left, before, moment)

    def _on_logged(self, event: kinds.ContactLogged, moment: Moment) -> None:
        if event.id in self.contacts.by_id:
            return
        self.contacts.on_logged(event, moment, self.place.locator, self.place.place)
        self.packets.on_contact(event.id, event.call, moment)
        if event.at is None:
            seconds, contact = moment.seconds, self.contacts.by_id[event.id]
            self.tunings.take(seconds, TuningFold.on_contact, contact, contact, name=event.id)
            self.identifying.take(seconds, IdentificationFold.on_contact, moment, event.id, name=event.id)

    def _on_amended(self, event: kinds.ContactAmended, moment: Moment) -> None:
        self.contacts.on_amended(event, moment)
        contact = self.contacts.by_id.get(event.contact)
        if contact is not None:
            self.tunings.change(event.contact, contact)

    def _on_withdrawn(self, event: kinds.ContactWithdrawn, _: Moment) -> None:
        """What came of the contact is taken back with it."""
        self.contacts.on_withdrawn(event)
        self.acts.forget(event.contact, restored=event.restored)
        self.tunings.let_count(event.contact, counts=event.restored)
        self.identifying.let_count(event.contact, counts=event.restored)

    def _on_aside(self, envelope: Envelope) -> None:
        """Cards, and what is taken back."""
        event, stands = read_event(as_written(envelope)), not envelope.kind.startswith(PREFIX)
        if isinstance(event, Act):
            self._note_act(event)
        match event:
            case kinds.ActTakenBack() as back:
                self.acts.on_taken_back(back)
            case CardPromised() as promised if stands:
                self.cards.on_promised(promised)
            case CardSent() as sent if stands:
                self.cards.on_sent(sent, envelope.at)
            case CardReceived() as received if stands:
                self.cards.on_received(received, envelope.at)
            case _:
                self.unknown_kinds += event is None

    def _on_other(self, envelope: Envelope, moment: Moment) -> None:
        """A line of a kind that nothing is done for: one that was taken back, or is not known."""
        if not envelope.kind.startswith(PREFIX):
            self.unknown_kinds += envelope.kind not in kinds.KINDS
            return
        event = read_event(as_written(envelope))
        if isinstance(event, Act):
            self._note_act(event)
        if isinstance(event, kinds.ContactLogged):
            # It keeps its number.
            self.contacts.on_logged(event, moment, self.place.locator, self.place.place)
            self.contacts.on_withdrawn(kinds.ContactWithdrawn(contact=event.id))

    def _on_identified(self, event: kinds.Identified, moment: Moment) -> None:
        self._identify(event.said, moment, event.method)

    def _identify(self, said: str | None, moment: Moment, method: str) -> None:
        self.identifying.take(moment.seconds, IdentificationFold.on_identified, said, moment, method)

    def _on_packet_sent(self, event: packet_kinds.PacketSent, moment: Moment) -> None:
        """The call in a packet identifies what is sent on its channel; what is said on another needs a call there."""
        frame = self.packets.on_sent(event, moment)
        here = event.hertz is not None and event.hertz == self.tuning.hertz
        if frame is not None and here and self.identification.rule.data_call_identifies:
            self._identify(frame.source.call, moment, "data")

    def _on_note(self, event: kinds.NoteWritten, moment: Moment) -> None:
        self.notes.append((moment, event.text))
        del self.notes[:-MOST_NOTES]

    def _on_sampled(self, event: kinds.BatterySampled, moment: Moment) -> None:
        seconds = moment.seconds
        if event.role != "pack":
            self.battery.on_other(event, seconds)
            return
        counted = self.battery.on_sampled(event, seconds)
        self.power.on_sampled(counted, seconds, sending=self.identification.sending_since is not None)

    def _on_feed(self, event: kinds.FeedChanged, moment: Moment) -> None:
        self.battery.on_feed(event, moment)
        if self.feeds.on_feed(event, moment):
            self.position.on_feed(event)

    def _on_volts(self, event: kinds.VoltsRead, moment: Moment) -> None:
        if self.battery.shunt_against(event.volts, moment.seconds) is not None:
            self.battery.meter_doubts += 1
            return
        self.battery.on_read(event, moment)
        self.power.on_read(event, sending=self.sending)

    # Questions

    @property
    def own_call(self) -> str | None:
        """The call of this station."""
        return self.opened.station_call if self.opened else None

    @property
    def battery_word(self) -> str:
        """The battery's state in one word of the trade, as of the last line of the journal."""
        battery = self.battery
        if battery.volts is None:
            return "no shunt"
        if battery.from_meter:
            return "meter"
        return flow_word(battery.amps, sending=self.sending)

    @property
    def sending(self) -> bool:
        """Whether the journal says that the carrier is up."""
        return self.identification.sending_since is not None

    @property
    def begun(self) -> bool:
        """Whether the journal holds an open session."""
        return self.opened is not None and self.closed_moment is None

    def now(self, stamp: Stamp) -> float:
        """Session seconds at a moment."""
        return self.timeline.seconds_at(stamp)

    def when(self, contact: Contact) -> datetime:
        """The true UTC time of a contact, as well as it is known."""
        if contact.stated_at is None:
            return self.clock.true_time(contact.logged_at, contact.boot, contact.seconds)
        if contact.by_clock is None:
            return contact.stated_at
        return put_right(contact.stated_at, contact.by_clock, self.true_at(contact.by_clock.moment))

    def when_heard(self, heard: Heard) -> datetime:
        """The true UTC time of a call that was only heard."""
        return self.clock.true_time(heard.logged_at, heard.boot, heard.seconds)

    def true_now(self, stamp: Stamp) -> datetime:
        """UTC at a moment that is in no line, such as now."""
        return self.clock.true_time(stamp.at, stamp.boot, self.now(stamp))

    def true_at(self, moment: Moment) -> datetime:
        """UTC of a line."""
        return self.clock.true_time(moment.at, moment.boot, moment.seconds)
