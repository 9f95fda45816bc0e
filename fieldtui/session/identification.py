"""Must the call sign be given? Counted from the operator's own transmissions, in session seconds.

The rule as data comes from `fieldtui.radio.rules`. A communication begins with the operator's first
transmission and ends when a contact is logged, when the operator says so, or when everything sent has been
identified and the station then stays silent for a whole interval. Under a rule that counts transmissions,
each one is a unit of its own.
"""

from __future__ import annotations

from enum import StrEnum

from msgspec import Struct, field
from msgspec.structs import replace

from fieldtui.radio.rules import IdentificationRule, identification_rule, with_interval
from fieldtui.session.timeline import Moment

SOON_SECONDS = 60.0
"""A warning before the deadline: a choice of this program, not law."""
NOW_SECONDS = 60.0
"""How long `now` is said before `late`."""
NO_CALL_AT_END = "no call yet at the end"
NO_CALL_AT_START = "no call at the start"
TIME_LOST = "the clock was lost in a restart"
LONGEST_INTERVAL_SECONDS = 86_400
"""A longer one in a journal is no rule of any place."""


class Need(StrEnum):
    """States in order of urgency."""

    QUIET = "quiet"
    RUNNING = "running"
    SOON = "soon"
    DUE = "due"
    SIGN_OFF = "sign-off"
    OVERDUE = "overdue"

    @property
    def urgency(self) -> int:
        """Larger is more urgent."""
        return list(Need).index(self)


class IdentificationView(Struct, frozen=True):
    """What the pane shows: the state in words, why, and how much of the interval is left."""

    need: Need
    words: str
    reason: str
    left_seconds: float | None
    left_part: float
    """1.0 just identified, 0.0 due; for the bar."""


class IdentificationRecord(Struct):
    """What the operator may want to know afterwards."""

    given: int = 0
    transmissions: int = 0
    missed: int = 0
    """Calls that came after the deadline, and contacts whose end had none when the next was logged."""
    longest_gap_seconds: float = 0.0
    """The longest time from a count's start to the call that ended it."""


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
    _ended_without: bool = False
    _start_owed: bool = False
    _signed_off: bool = False
    """Whether the last call closed a communication; what is sent on in that over is not counted further."""
    _fresh: bool = False
    """Whether a call was given since the last contact that was not the late end of that contact."""
    _said_at: float = 0.0
    """When a call was given last that was owed."""
    _time_lost: bool = False
    _base_from: float | None = None

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
        self.record.transmissions += 1
        self.sending_since, self.sending_source = seconds, source
        if self.last_sent is None or seconds > self.last_sent:
            # Not so of a line that came late, and tells of an over before the last one.
            self.last_sent = seconds
        called = self.last.seconds if self.last and self.last.seconds >= seconds else None
        if called is None:
            self._let_silence_pass(seconds)
            self._unsaid, self._signed_off = True, False
            if self._counting_from is None or self.rule.unit == "transmission":
                self._start_owed = self.rule.id_at_start
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
            self._unsaid = True
        elif self._signed_off and not self._unsaid:
            self._stop_counting()
        if self.rule.unit == "transmission":
            self.on_communication_ended(moment)
        return lasted

    def on_identified(self, said: str | None, moment: Moment, method: str = "phone") -> None:
        """The call was given: the count starts again, or ends with the communication."""
        record = self.record
        record.given += 1
        if self._counting_from is not None and self._unsaid:
            gap = moment.seconds - self._counting_from
            record.longest_gap_seconds = max(record.longest_gap_seconds, gap)
            record.missed += bool(self.rule.interval_seconds and gap > self.rule.interval_seconds)
        self._said_at = moment.seconds if self._unsaid else self._said_at
        self.last = moment
        self.last_said, self.last_method = said, method
        self._unsaid = self._start_owed = self._time_lost = False
        if self._said_base(said):
            self._base_from = None if self.sending_since is None else moment.seconds
        self._signed_off, self._ended_without = self._ended_without, False
        self._fresh = not self._signed_off
        if self._signed_off and self.sending_since is None:
            self._stop_counting()
        elif self._counting_from is not None:
            self._count_from(moment.seconds, moment)

    def on_contact(self, moment: Moment) -> None:
        """A contact was logged: the communication is over.

        Where no transmission was seen for long (no shunt, no key used), a contact itself proves that the
        operator sent, and an identification is asked for unless one was marked since the last contact.
        A call that was the late end of the last contact does not count for this one.
        """
        if self._sends_unseen(moment.seconds):
            self._unsaid = self._unsaid or not self._fresh
        self._fresh = False
        self.record.missed += self._ended_without
        self.on_communication_ended(moment)

    def on_communication_ended(self, moment: Moment) -> None:
        """Asks for the call if the rule wants one at the end and none was given since the last over."""
        if self._unsaid and self.rule.id_at_end:
            self._ended_without = True
            if self._counting_from is None:
                self._count_from(moment.seconds, moment)
        elif not self._unsaid:
            self._signed_off = True
            if self.sending_since is None:
                self._stop_counting()

    def on_time_lost(self) -> None:
        """The machine was off for nobody knows how long: what is owed is asked for at once."""
        self._time_lost = self._unsaid

    def on_bridged_again(self, up_to: float, by: float) -> None:
        """How long the machine was off is known better: what was until then lies by so much later before now."""

        def moved(seconds: float | None) -> float | None:
            return seconds + by if seconds is not None and seconds <= up_to else seconds

        self.last_sent, self._base_from = moved(self.last_sent), moved(self._base_from)
        self._said_at = moved(self._said_at) or 0.0
        self._counting_from = moved(self._counting_from)
        if self._counting is not None and self._counting.seconds <= up_to:
            self._counting = replace(self._counting, seconds=self._counting.seconds + by)

    # Counting

    def _count_from(self, seconds: float, moment: Moment) -> None:
        self._counting_from, self._counting = seconds, moment

    def _stop_counting(self) -> None:
        self._counting_from = self._counting = None
        self._start_owed = False

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

    def _sends_unseen(self, now: float) -> bool:
        if self.last_sent is None:
            return True
        silence = self.rule.interval_seconds or self.rule.suggest_seconds or 600
        return self.sending_since is None and now - self.last_sent > silence

    def _said_base(self, said: str | None) -> bool:
        return self.base_call is not None and said is not None and self.base_call in said.upper().split("/")

    @property
    def _counted(self) -> bool:
        """Whether anything sent waits for a call: a listener owes none."""
        return self._counting_from is not None and (self._unsaid or self.sending_since is not None)

    @property
    def due(self) -> Moment | None:
        """When the call is due, if it is counted; by the raw clock of the boot in which the count began."""
        begun, start, interval = self._counting, self._counting_from, self.rule.interval_seconds
        if begun is None or start is None or not interval or not self._counted:
            return None
        return begun.moved_to(start + interval)

    # Views

    def view(self, now: float) -> IdentificationView:
        """The state at a moment, in session seconds."""
        if self._counting_from is None or not self._counted:
            return self._quiet()
        interval = self.rule.interval_seconds
        if not interval:
            return self._without_interval(now, self._counting_from)
        left = self._counting_from + interval - now
        need, words = _need(left)
        reason = self._reason(now)
        if need is not Need.OVERDUE and self._ended_without:
            need, words = Need.SIGN_OFF, "sign off with your call"
        elif need is not Need.OVERDUE and self._start_owed:
            need, words, reason = Need.DUE, "now", NO_CALL_AT_START
        elif self._time_lost and need.urgency < Need.DUE.urgency:
            need, words, reason = Need.DUE, "now", TIME_LOST
        elif self._base_due(now) and need.urgency < Need.DUE.urgency:
            need, words, reason = Need.DUE, "now", f"an hour without {self.base_call}"
        return IdentificationView(need, words, reason, left, min(1.0, max(0.0, left / interval)))

    def _base_due(self, now: float) -> bool:
        limit = self.rule.special_event_base_call_seconds
        if not limit or self.base_call is None or self._base_from is None:
            return False
        return now - self._base_from >= limit

    def _quiet(self) -> IdentificationView:
        nothing = self.last is None and not self.record.transmissions
        reason = "nothing sent yet" if nothing else "nothing sent since your call"
        return IdentificationView(Need.QUIET, "quiet", reason, None, 1.0)

    def _without_interval(self, now: float, start: float) -> IdentificationView:
        if self._ended_without:
            return IdentificationView(Need.SIGN_OFF, "sign off with your call", NO_CALL_AT_END, None, 0.0)
        if self._start_owed:
            return IdentificationView(Need.DUE, "now", NO_CALL_AT_START, None, 0.0)
        since = now - start
        suggested = self.rule.suggest_seconds or 600
        words, left = f"{_span(since)} since", max(0.0, 1 - since / suggested)
        return IdentificationView(Need.RUNNING, words, "no fixed interval", None, left)

    def _reason(self, now: float) -> str:
        if self.sending_since is not None:
            return f"sending {_span(now - self.sending_since)}"
        if self._ended_without:
            return NO_CALL_AT_END
        return f"last sent {_span(now - self.last_sent)} ago" if self.last_sent is not None else "in contact"


def _need(left: float) -> tuple[Need, str]:
    if left > SOON_SECONDS:
        return Need.RUNNING, f"in {_span(left)}"
    if left > 0:
        return Need.SOON, f"soon: {left:.0f} s"
    if left > -NOW_SECONDS:
        return Need.DUE, "now"
    return Need.OVERDUE, f"late by {-left / 60:.0f} min"


def _span(seconds: float) -> str:
    whole = max(0, int(seconds))
    return f"{whole // 60} min {whole % 60:02d} s" if whole >= 60 else f"{whole} s"


def rule_of(name: str, interval_seconds: float | None) -> IdentificationRule:
    """The rule that a journal names; one that this version does not know falls back to the US rule."""
    try:
        rule = identification_rule(name)
    except ValueError:
        rule = identification_rule("us")
    if not interval_seconds or interval_seconds > LONGEST_INTERVAL_SECONDS:
        return rule
    try:
        return with_interval(rule, int(interval_seconds))
    except ValueError:
        return rule
