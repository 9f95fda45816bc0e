"""Must the call sign be given? Counted from the operator's own transmissions, in session seconds.

The rule as data comes from `fieldtui.radio.rules`; what it asks for is a list of demands, `session/demands.py`. A
communication begins with the operator's first transmission and ends when a contact is logged, when the operator says
so, or when everything sent has been identified and the station then stays silent for a whole interval. Contacts with
nothing sent between them, or logged close together as in a net, are one communication. Under a rule that counts
transmissions, each one is a unit of its own.
"""

from __future__ import annotations

from msgspec import Struct, field
from msgspec.structs import replace

from fieldtui.radio.rules import IdentificationRule
from fieldtui.session.identification.demands import (
    NO_CALL_AT_END,
    NO_CALL_AT_START,
    TIME_LOST,
    Demand,
    IdentificationView,
    Kind,
    Need,
    span_words,
    view_of,
)
from fieldtui.session.identification.record import IdentificationRecord
from fieldtui.session.timeline import Moment

TOGETHER_SECONDS = 60.0
"""Contacts logged at most this long one after the other are one communication: a choice of this program, not law."""


class IdentificationFold(Struct):
    """Transmissions and identifications so far."""

    rule: IdentificationRule
    base_call: str | None = None
    """The station's own call, where a special event call is used: it must be given too, once an hour."""
    record: IdentificationRecord = field(default_factory=IdentificationRecord)
    sending_since: float | None = None
    sending_source: str | None = None
    last_sent: float | None = None
    last: Moment | None = None
    """When the call was given last."""
    last_said: str | None = None
    last_method: str | None = None
    _counting_from: float | None = None
    _counting: Moment | None = None
    _unsaid: bool = False
    _seen: bool = False
    """Whether what waits for a call was seen sent, or marked; else only contacts prove that something was sent."""
    _ended_seen: bool = False
    """The same of the communication whose sign-off is owed."""
    _ended: Moment | None = None
    """When the communication ended whose sign-off is owed."""
    _start_owed: float | None = None
    """When the over began that owes a call at its start."""
    _signed_off: bool = False
    """Whether the last call closed a communication; what is sent on in that over is not counted further."""
    _fresh: bool = False
    """Whether a call was given since the last contact that was not the late end of that contact."""
    _said_at: float = 0.0
    """When a call was given last that was owed."""
    _time_lost: float | None = None
    _base_from: float | None = None
    """When the own call was last given beside the special event call, or the first over without it began."""
    _sent_since_end: bool = False
    """Whether an over began after the last communication ended."""
    _contact: Moment | None = None
    """The last contact, and its name in the journal."""
    _contact_name: str | None = None
    _together_from: float = 0.0
    """The first contact of those that follow each other closely up to the last one."""

    def copied(self) -> IdentificationFold:
        """Another fold that goes on from here and leaves this one as it is."""
        return replace(self, record=replace(self.record))

    # Events

    def on_opened(self, rule: IdentificationRule, base_call: str | None) -> None:
        """The rule that counts from here on."""
        self.rule, self.base_call = rule, base_call or self.base_call

    def on_started(self, seconds: float, moment: Moment, source: str) -> None:
        """The first transmission of a communication starts the count.

        The current tells of an over some seconds late; a call given meanwhile was given in it.
        """
        self._close_if_long_silent(seconds)
        self._let_the_hour_pass(seconds)
        self.record.transmissions += 1
        self._sent_since_end = True
        self.sending_since, self.sending_source = seconds, source
        if self.last_sent is None or seconds > self.last_sent:
            # Not so of a line that came late, and tells of an over before the last one.
            self.last_sent = seconds
        called = self.last.seconds if self.last and self.last.seconds >= seconds else None
        if called is None:
            self._let_silence_pass(seconds)
            self._unsaid, self._seen, self._signed_off = True, True, False
            if self.rule.unit == "transmission":
                self._leave_unmarked()
            if self.rule.id_at_start and (self._counting_from is None or self.rule.unit == "transmission"):
                self._start_owed = seconds
        counting = self._counting_from
        # Told late, and no call since: it is this over that waits the longest for one.
        if counting is None or (called is None and seconds < counting):
            self._count_from(seconds if called is None else called, moment)
        if self._base_from is None:
            self._base_from = seconds

    def on_ended(self, seconds: float, moment: Moment) -> float:
        """The carrier is down; returns how long it was up."""
        if self.sending_since is None:
            return 0.0
        lasted = max(0.0, seconds - self.sending_since)
        self.sending_since, self.sending_source = None, None
        if self.last_sent is None or seconds > self.last_sent:
            self.last_sent = seconds
        interval, start = self.rule.interval_seconds, self._counting_from
        if interval and start is not None and seconds - start >= interval:
            # The deadline passed within the over, after the call that was given in it.
            self._unsaid = self._seen = True
        elif self._signed_off and not self._unsaid:
            self._stop_counting()
        if self.rule.unit == "transmission":
            self.on_communication_ended(moment)
        return lasted

    def on_identified(self, said: str | None, moment: Moment, method: str = "phone") -> None:
        """The call was given: the count starts again, or ends with the communication."""
        record = self.record
        record.given += 1
        if self._counting_from is not None and self._unsaid and self._seen:
            gap = moment.seconds - self._counting_from
            record.longest_gap_seconds = max(record.longest_gap_seconds, gap)
            record.late += bool(self.rule.interval_seconds and gap > self.rule.interval_seconds)
        self._said_at = moment.seconds if self._unsaid else self._said_at
        self.last = moment
        self.last_said, self.last_method = said, method
        self._unsaid, self._start_owed, self._time_lost = False, None, None
        if self._said_base(said):
            self._base_from = None if self.sending_since is None else moment.seconds
        self._signed_off, self._ended = self._ended is not None, None
        self._fresh = not self._signed_off
        if self._signed_off and self.sending_since is None:
            self._stop_counting()
        elif self._counting_from is not None:
            self._count_from(moment.seconds, moment)

    def on_contact(self, moment: Moment, name: str | None = None) -> None:
        """A contact was logged: the communication is over.

        Where no transmission was seen for long (no shunt, no key used), a contact itself proves that the
        operator sent, and an identification is asked for unless one was marked since the last contact.
        A call that was the late end of the last contact does not count for this one. The next check-in of a net is
        no new communication: it proves nothing that the last one did not, and leaves nothing unmarked.
        """
        together, unseen = self._together(moment.seconds), self._sends_unseen(moment.seconds)
        if unseen and not together:
            if not self._sent_since_end:
                self.record.unseen += 1
                self._seen = False
            self._unsaid = self._unsaid or not self._fresh
        if not together:
            self._together_from = moment.seconds
            if self._sent_since_end or unseen:
                self._leave_unmarked()
        self._fresh = False
        self._contact, self._contact_name = moment, name
        self.on_communication_ended(moment)

    def on_channel_left(self, hertz: int, moment: Moment) -> None:
        """Another channel was tuned. What was owed on this one can no longer be given there; elsewhere it is not it.

        47 CFR 97.119(a) asks for the call "on its transmitting channel".
        """
        if not self.owes_before_leaving:
            return
        if self._seen:
            name = self._contact_name if self._ended is not None else None
            self.record.leave_unmarked(moment, name, hertz)
        self._unsaid, self._ended, self._time_lost = False, None, None
        self._stop_counting()

    def on_communication_ended(self, moment: Moment) -> None:
        """Asks for the call if the rule wants one at the end and none was given since the last over."""
        self._sent_since_end = False
        if self._unsaid and self.rule.id_at_end:
            if self._ended is None:
                self._ended, self._ended_seen = moment, self._seen
            if self._counting_from is None:
                self._count_from(moment.seconds, moment)
        elif not self._unsaid:
            self._signed_off = True
            if self.sending_since is None:
                self._stop_counting()

    def on_time_lost(self, seconds: float) -> None:
        """The machine was off for nobody knows how long: what is owed is asked for at once."""
        self._time_lost = seconds if self._unsaid else None

    def on_bridged_again(self, up_to: float, by: float) -> None:
        """How long the machine was off is known better: what was until then lies by so much later before now."""

        def moved(seconds: float | None) -> float | None:
            return seconds + by if seconds is not None and seconds <= up_to else seconds

        def later(moment: Moment | None) -> Moment | None:
            return moment and replace(moment, seconds=moved(moment.seconds))

        self.last_sent, self._base_from = moved(self.last_sent), moved(self._base_from)
        self._said_at = moved(self._said_at) or 0.0
        self._together_from = moved(self._together_from) or 0.0
        self._start_owed, self._counting_from = moved(self._start_owed), moved(self._counting_from)
        self._counting, self._ended = later(self._counting), later(self._ended)
        self._contact = later(self._contact)

    # Counting

    def _count_from(self, seconds: float, moment: Moment) -> None:
        self._counting_from, self._counting = seconds, moment

    def _stop_counting(self) -> None:
        self._counting_from = self._counting = self._start_owed = None

    def _close_if_long_silent(self, now: float) -> None:
        interval = self.rule.interval_seconds or self.rule.suggest_seconds
        if not interval or self._unsaid or self.sending_since is not None or self.last_sent is None:
            return
        if now - max(self.last_sent, self._said_at) >= interval:
            self._stop_counting()

    def _let_silence_pass(self, seconds: float) -> None:
        """A deadline that ran out while nothing was owed is due with the next over, and not late by then."""
        start, interval = self._counting_from, self.rule.interval_seconds
        if interval and start is not None and not self._unsaid:
            self._counting_from = max(start, seconds - interval)

    def _let_the_hour_pass(self, seconds: float) -> None:
        """The same of the hour of the own call, if nothing was sent after it ran out."""
        limit, start = self.rule.special_event_base_call_seconds, self._base_from
        if limit and start is not None and self.sending_since is None and not self._sent_after(start + limit):
            self._base_from = max(start, seconds - limit)

    def _sent_after(self, seconds: float) -> bool:
        return self.last_sent is not None and self.last_sent >= seconds

    def _leave_unmarked(self) -> None:
        """The next communication is over, or under way, and the sign-off of the last one was not marked."""
        if self._ended is None:
            return
        ended, self._ended = self._ended, None
        if not self._ended_seen:
            return
        last = self._contact
        if last is not None and last.seconds >= ended.seconds:
            self.record.leave_unmarked(last, self._contact_name)
        else:
            self.record.leave_unmarked(ended, None)

    def _together(self, seconds: float) -> bool:
        """Whether a contact follows the last one closely; for an interval at most, since a call is due by then."""
        last = self._contact
        if last is None or seconds - last.seconds > TOGETHER_SECONDS:
            return False
        called = self.last.seconds if self.last else 0.0
        return seconds - max(self._together_from, called) < self.usual_interval_seconds

    def _sends_unseen(self, now: float) -> bool:
        if self.last_sent is None:
            return True
        return self.sending_since is None and now - self.last_sent > self.usual_interval_seconds

    def _said_base(self, said: str | None) -> bool:
        return self.base_call is not None and said is not None and self.base_call in said.upper().split("/")

    @property
    def usual_interval_seconds(self) -> float:
        """The interval of the rule; where it has none, how often a call is usual."""
        return self.rule.interval_seconds or self.rule.suggest_seconds or 600

    @property
    def _counted(self) -> bool:
        """Whether anything sent waits for a call: a listener owes none."""
        return self._counting_from is not None and (self._unsaid or self.sending_since is not None)

    @property
    def owes_before_leaving(self) -> bool:
        """Whether the call is to be given on this channel before it is left."""
        return self.rule.id_at_end and self._unsaid and self._counted and self.sending_since is None

    @property
    def owed_was_seen(self) -> bool:
        """Whether what waits for a call was seen sent, or marked."""
        return self._ended_seen if self._ended is not None else self._seen

    @property
    def due(self) -> Moment | None:
        """When the interval is over, if it is counted; by the raw clock of the boot in which the count began."""
        begun, start, interval = self._counting, self._counting_from, self.rule.interval_seconds
        if begun is None or start is None or not interval or not self._counted:
            return None
        return begun.moved_to(start + interval)

    # Views

    @property
    def demands(self) -> tuple[Demand, ...]:
        """All that the rule asks for and that has not been done, each with its moment."""
        found = [self._own_call_demand()]
        if self._counting_from is not None and self._counted:
            if self.rule.interval_seconds:
                found.append(Demand(Kind.INTERVAL, self._counting_from + self.rule.interval_seconds))
            if self._ended is not None:
                found.append(Demand(Kind.END, self._ended.seconds, NO_CALL_AT_END))
            if self._start_owed is not None:
                found.append(Demand(Kind.START, self._start_owed, NO_CALL_AT_START))
            if self._time_lost is not None and self.rule.interval_seconds:
                found.append(Demand(Kind.LOST_TIME, self._time_lost, TIME_LOST))
        return tuple(demand for demand in found if demand is not None)

    def view(self, now: float) -> IdentificationView:
        """The state at a moment, in session seconds."""
        demands, interval = self.demands, self.rule.interval_seconds
        if demands:
            own_call = self.base_call or ""
            return view_of(demands, now, interval=interval, reason=self._reason(now), own_call=own_call)
        if self._counting_from is not None and self._counted:
            since = now - self._counting_from
            part = max(0.0, 1 - since / self.usual_interval_seconds)
            words = f"{span_words(since)} since"
            return IdentificationView(Need.RUNNING, words, "no fixed interval", None, part)
        nothing = self.last is None and not self.record.transmissions
        reason = "nothing sent yet" if nothing else "nothing sent since your call"
        return IdentificationView(Need.QUIET, "quiet", reason, None, 1.0)

    def _own_call_demand(self) -> Demand | None:
        """Asked for while something sent waits for a call, and until it is given once something was sent too late."""
        limit, start = self.rule.special_event_base_call_seconds, self._base_from
        if not limit or self.base_call is None or start is None:
            return None
        due = start + limit
        if not (self._counted or self._sent_after(due)):
            return None
        return Demand(Kind.OWN_CALL, due, f"your own call {self.base_call}, once an hour")

    def _reason(self, now: float) -> str:
        if self.sending_since is not None:
            return f"sending {span_words(now - self.sending_since)}"
        if self._ended is not None:
            return NO_CALL_AT_END
        return (
            f"last sent {span_words(now - self.last_sent)} ago"
            if self.last_sent is not None
            else "in contact"
        )
