"""Must the call sign be given? Counted from the operator's own transmissions, in session seconds.

The rule as data comes from `fieldtui.radio.rules`. A communication begins with the operator's first
transmission and ends when a contact is logged, when the operator says so, or when everything sent has
been identified and the station then stays silent for a whole interval.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from fieldtui.radio.rules import IdentificationRule, identification_rule, with_interval
from fieldtui.session.timeline import Moment

SOON_SECONDS = 60.0
"""A warning before the deadline: a choice of this program, not law."""
NO_CALL_AT_END = "no call at the end"
NOW_SECONDS = 60.0
"""How long `now` is said before `late`."""


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


@dataclass(frozen=True, slots=True)
class IdentificationView:
    """What the pane shows: the state in words, why, and how much of the interval is left."""

    need: Need
    words: str
    reason: str
    left_seconds: float | None
    left_part: float
    """1.0 just identified, 0.0 due; for the bar."""


@dataclass(slots=True)
class IdentificationFold:
    """Transmissions and identifications so far."""

    rule: IdentificationRule
    sending_since: float | None = None
    sending_source: str | None = None
    last_sent: float | None = None
    last_at: datetime | None = None
    last_boot: str = ""
    last_said: str | None = None
    count: int = 0
    transmissions: int = 0
    _last: float | None = None
    _counting_from: float | None = None
    _counting_at: datetime | None = None
    _unsaid: bool = False
    _ended_without: bool = False
    _last_contact: float | None = None

    def on_started(self, seconds: float, moment: Moment, source: str) -> None:
        """The first transmission of a communication starts the count."""
        self._close_if_long_silent(seconds)
        self.transmissions += 1
        self.sending_since, self.sending_source = seconds, source
        self.last_sent = seconds
        self._unsaid = True
        if self._counting_from is None:
            self._count_from(seconds, moment)

    def on_ended(self, seconds: float) -> float:
        """The carrier is down; returns how long it was up."""
        if self.sending_since is None:
            return 0.0
        lasted = max(0.0, seconds - self.sending_since)
        self.sending_since, self.sending_source = None, None
        self.last_sent = seconds
        return lasted

    def on_identified(self, said: str | None, moment: Moment) -> None:
        """The call was given: the count starts again, or ends with the communication."""
        self.count += 1
        self._last, self.last_at, self.last_boot, self.last_said = (
            moment.seconds,
            moment.at,
            moment.boot,
            said,
        )
        self._unsaid = False
        if self._ended_without:
            self._ended_without = False
            self._stop_counting()
        elif self._counting_from is not None:
            self._count_from(moment.seconds, moment)

    def on_contact(self, moment: Moment) -> None:
        """A contact was logged: the communication is over.

        Where no transmission was ever seen (no shunt, no key used), a contact itself proves that the
        operator sent, and an identification is asked for unless one was marked since the last contact.
        """
        if not self.transmissions:
            said = self._last is not None and (self._last_contact is None or self._last > self._last_contact)
            self._unsaid = self._unsaid or not said
        self._last_contact = moment.seconds
        self.on_communication_ended(moment)

    def on_communication_ended(self, moment: Moment) -> None:
        """Asks for the call if the rule wants one at the end and none was given since the last over."""
        if self._unsaid and self.rule.id_at_end:
            self._ended_without = True
            if self._counting_from is None:
                self._count_from(moment.seconds, moment)
        elif not self._unsaid:
            self._stop_counting()

    def _count_from(self, seconds: float, moment: Moment) -> None:
        self._counting_from = seconds
        self._counting_at = moment.at + timedelta(seconds=seconds - moment.seconds)

    def _stop_counting(self) -> None:
        self._counting_from = self._counting_at = None

    def _close_if_long_silent(self, now: float) -> None:
        interval = self.rule.interval_seconds
        if interval and not self._unsaid and self.sending_since is None and self.last_sent is not None:
            since = max(self.last_sent, self._last or 0.0)
            if now - since >= interval:
                self._stop_counting()

    @property
    def due_at(self) -> datetime | None:
        """When the call is due by the raw wall clock of the boot that is running, if it is counted."""
        if (
            self._counting_at is None
            or not self.rule.interval_seconds
            or not (self._unsaid or self.sending_since)
        ):
            return None
        return self._counting_at + timedelta(seconds=self.rule.interval_seconds)

    def view(self, now: float) -> IdentificationView:
        """The state at a moment, in session seconds."""
        interval = self.rule.interval_seconds
        if self._counting_from is None or not (self._unsaid or self.sending_since is not None):
            return self._quiet()
        if not interval:
            return self._without_interval(now)
        left = self._counting_from + interval - now
        need, words = _need(left)
        reason = self._reason(now)
        if self._ended_without and need is not Need.OVERDUE:
            need, words = Need.SIGN_OFF, "sign off with your call"
        elif self._ended_without:
            reason = NO_CALL_AT_END
        return IdentificationView(need, words, reason, left, min(1.0, max(0.0, left / interval)))

    def _quiet(self) -> IdentificationView:
        if self._last is None and not self.transmissions:
            return IdentificationView(Need.QUIET, "quiet", "nothing sent yet", None, 1.0)
        return IdentificationView(Need.QUIET, "quiet", "nothing sent since your call", None, 1.0)

    def _without_interval(self, now: float) -> IdentificationView:
        if self._ended_without:
            return IdentificationView(Need.SIGN_OFF, "sign off with your call", NO_CALL_AT_END, None, 0.0)
        since = now - (self._counting_from or now)
        suggested = self.rule.suggest_seconds or 600
        words = f"{_span(since)} since"
        return IdentificationView(
            Need.RUNNING, words, "no fixed interval", None, max(0.0, 1 - since / suggested)
        )

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
    try:
        return with_interval(rule, int(interval_seconds)) if interval_seconds else rule
    except ValueError:
        return rule
