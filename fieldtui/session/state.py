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
from fieldtui.journal.event_types import Event
from fieldtui.journal.line import UNREADABLE, Envelope, event_readers, read_event
from fieldtui.journal.plan_events import KitTicked, PathPlanned, PlanMade
from fieldtui.journal.position_events import PositionFixed
from fieldtui.journal.stamp import Stamp
from fieldtui.session.battery import SILENT_SECONDS, BatteryFold
from fieldtui.session.cards import CardsFold
from fieldtui.session.clock import ClockFold
from fieldtui.session.contacts import Contact, ContactsFold
from fieldtui.session.identification import IdentificationFold, rule_of
from fieldtui.session.kit import KitFold
from fieldtui.session.packets import PacketsFold
from fieldtui.session.plan import PlanFold
from fieldtui.session.position import PositionFold
from fieldtui.session.power import PowerFold
from fieldtui.session.timeline import Moment, Timeline
from fieldtui.session.tuning import PlaceFold, TuningFold

MOST_NOTES = 500
SAME_EDGE_SECONDS = 3.0
"""Two programs that read one shunt see the same edge at most this far apart: their samples differ by less."""

Handler = Callable[[Any, Moment], None]


class SessionState:
    """All folds of one journal."""

    def __init__(self) -> None:
        self.timeline = Timeline()
        self.clock = ClockFold()
        self.contacts = ContactsFold()
        self.cards = CardsFold(self.contacts)
        self.tuning = TuningFold()
        self.place = PlaceFold()
        self.battery = BatteryFold()
        self.power = PowerFold()
        self.position = PositionFold()
        self.kit = KitFold()
        self.plan = PlanFold()
        self.packets = PacketsFold()
        self.identification = IdentificationFold(rule_of("us", None))
        self.opened: kinds.SessionOpened | None = None
        self.opened_moment: Moment | None = None
        self.closed_moment: Moment | None = None
        self.last_moment: Moment | None = None
        self.notes: list[tuple[Moment, str]] = []
        self._over_ended = float("-inf")
        self.lines = 0
        self.unknown_kinds = 0
        self._handlers: dict[str, Handler] = {
            kind: handler for event, handler in self._table().items() if (kind := kinds.KIND_OF[event])
        }

    def _table(self) -> dict[type[Event], Handler]:
        contacts, power = self.contacts, self.power
        return {
            kinds.SessionOpened: self._on_opened,
            kinds.SessionResumed: self._on_resumed,
            kinds.SessionClosed: self._on_closed,
            kinds.ContactLogged: self._on_logged,
            kinds.ContactAmended: lambda event, _: contacts.on_amended(event),
            kinds.ContactWithdrawn: lambda event, _: contacts.on_withdrawn(event),
            kinds.CallHeard: contacts.on_heard,
            kinds.NoteWritten: self._on_note,
            kinds.Identified: self._on_identified,
            kinds.TransmissionStarted: self._on_started,
            kinds.TransmissionEnded: self._on_ended,
            kinds.CommunicationEnded: lambda _, moment: self.identification.on_communication_ended(moment),
            kinds.BatterySampled: self._on_sampled,
            kinds.VoltsRead: self._on_volts,
            kinds.PackStated: lambda event, _: power.on_pack(event),
            kinds.AlarmRaised: lambda event, moment: power.on_alarm(event, moment.seconds),
            kinds.AlarmCleared: lambda event, _: power.on_alarm_cleared(event),
            kinds.AlarmAcknowledged: lambda event, _: power.on_alarm_acknowledged(event),
            kinds.FeedChanged: self._on_feed,
            PositionFixed: self.position.on_fixed,
            kinds.Tuned: lambda event, _: self.tuning.on_tuned(event),
            kinds.PlaceSet: lambda event, _: self.place.on_set(event),
            kinds.ClockOffset: self.clock.on_offset,
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
        handler_of = self._handlers.get
        for envelope in envelopes:
            self.lines += 1
            handler = handler_of(envelope.kind)
            if handler is None and envelope.kind in CARD_KINDS:
                self._on_card(envelope)
                continue
            moment = self.last_moment = timeline.advance(envelope)
            observe(moment)
            if timeline.lost_time:
                identification.on_time_lost()
            if handler is None:
                self.unknown_kinds += envelope.kind not in kinds.KINDS
                continue
            try:
                event = event_readers[envelope.kind](envelope.data)
            except UNREADABLE:
                self.unknown_kinds += 1
                continue
            if identification.sending_since is not None and type(event) is not kinds.TransmissionEnded:
                self._end_unproved_over(moment)
            handler(event, moment)

    # Whole-session events

    def _on_opened(self, event: kinds.SessionOpened, moment: Moment) -> None:
        if self.opened is not None:
            return
        self.opened, self.opened_moment = event, moment
        self.place.on_opened(event)
        self.identification.rule = rule_of(event.rule, event.interval_seconds)
        if event.station_call and event.operator_call:
            from fieldtui.radio.callsign import is_special_event  # noqa: PLC0415  (few sessions have two calls)

            if is_special_event(event.station_call):
                self.identification.base_call = event.operator_call.upper()

    def _on_resumed(self, _: kinds.SessionResumed, __: Moment) -> None:
        self.closed_moment = None

    def _on_closed(self, _: kinds.SessionClosed, moment: Moment) -> None:
        self.closed_moment = moment

    def _on_logged(self, event: kinds.ContactLogged, moment: Moment) -> None:
        if event.id in self.contacts.by_id:
            return
        self.contacts.on_logged(event, moment, self.place.locator, self.place.place)
        self.tuning.on_logged(event)
        self.packets.on_contact(event.id, event.call, moment)
        if event.at is None:
            self.identification.on_contact(moment)

    def _on_card(self, envelope: Envelope) -> None:
        """Cards are written of at a desk, days later: such a line moves no clock of the session."""
        match read_event(envelope):
            case CardPromised() as promised:
                self.cards.on_promised(promised)
            case CardSent() as sent:
                self.cards.on_sent(sent, envelope.at)
            case CardReceived() as received:
                self.cards.on_received(received, envelope.at)
            case _:
                self.unknown_kinds += 1

    def _on_identified(self, event: kinds.Identified, moment: Moment) -> None:
        self.identification.on_identified(event.said, moment, event.method)

    def _on_packet_sent(self, event: packet_kinds.PacketSent, moment: Moment) -> None:
        """The call in a packet identifies what is sent on its channel; what is said on another needs a call there."""
        frame = self.packets.on_sent(event, moment)
        here = event.hertz is not None and event.hertz == self.tuning.hertz
        if frame is not None and here and self.identification.rule.data_call_identifies:
            self.identification.on_identified(frame.source.call, moment, "data")

    def _on_note(self, event: kinds.NoteWritten, moment: Moment) -> None:
        self.notes.append((moment, event.text))
        del self.notes[:-MOST_NOTES]

    def _on_started(self, event: kinds.TransmissionStarted, moment: Moment) -> None:
        start = self._edge(event, moment)
        if event.source == "shunt" and self._told_already(start):
            return
        # A start without an end before it: the program was killed while sending.
        self._end_over(start, moment)
        self.identification.on_started(start, moment, event.source)
        self.power.on_started(event)

    def _on_ended(self, event: kinds.TransmissionEnded, moment: Moment) -> None:
        start, end = self.identification.sending_since, self._edge(event, moment)
        if start is not None and not (event.source == "shunt" and end < start):
            self.power.on_ended(event, start, end)
            self._end_over(end, moment)

    def _told_already(self, start: float) -> bool:
        """Whether the start that the shunt tells is of a transmission that another screen's line told already."""
        since = self.identification.sending_since
        if since is not None:
            return self.identification.sending_source == "shunt" and abs(start - since) <= SAME_EDGE_SECONDS
        return start < self._over_ended

    def _end_over(self, end: float, moment: Moment) -> None:
        if self.sending:
            self._over_ended = end
            self.battery.on_over(self.identification.on_ended(end, moment))

    def _end_unproved_over(self, moment: Moment) -> None:
        """The shunt said that the carrier went up, and then nothing for long: it was killed or unplugged."""
        since, seen = self.identification.sending_since, self.battery.shunt_seen
        if since is None or seen is None or self.identification.sending_source != "shunt":
            return
        proved = max(since, seen)
        if moment.seconds - proved > SILENT_SECONDS:
            self.power.on_ended(kinds.TransmissionEnded(source="shunt"), since, proved)
            self._end_over(proved, moment)

    def _edge(self, event: kinds.TransmissionEnded | kinds.TransmissionStarted, moment: Moment) -> float:
        """When the carrier changed: known better than when the line was written, but never later."""
        if event.mono_seconds is None:
            return moment.seconds
        return min(moment.seconds, self.timeline.seconds_of(event.mono_seconds, moment.boot))

    def _on_sampled(self, event: kinds.BatterySampled, moment: Moment) -> None:
        seconds = moment.seconds
        if event.role != "pack":
            self.battery.on_other(event, seconds)
            return
        counted = self.battery.on_sampled(event, seconds)
        self.power.on_sampled(counted, seconds, sending=self.identification.sending_since is not None)

    def _on_feed(self, event: kinds.FeedChanged, moment: Moment) -> None:
        self.battery.on_feed(event, moment)
        self.position.on_feed(event)

    def _on_volts(self, event: kinds.VoltsRead, moment: Moment) -> None:
        self.battery.on_read(event, moment)
        self.power.on_read(event, sending=self.sending)

    # Questions

    @property
    def own_call(self) -> str | None:
        """The call of this station."""
        return self.opened.station_call if self.opened else None

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
        return contact.stated_at or self.clock.true_time(contact.logged_at, contact.boot, contact.seconds)

    def true_now(self, stamp: Stamp) -> datetime:
        """UTC at a moment that is in no line, such as now."""
        return self.clock.true_time(stamp.at, stamp.boot, self.now(stamp))

    def true_at(self, moment: Moment) -> datetime:
        """UTC of a line."""
        return self.clock.true_time(moment.at, moment.boot, moment.seconds)
