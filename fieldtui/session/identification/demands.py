"""What the rule asks of the operator, demand by demand, and how urgent each is at a moment.

The demands stand side by side, as they do in the rule. 47 CFR 97.119(a) has two: the call at the end of each
communication, and at least every ten minutes during one. 97.119(d) has another, the station's own call at least once
an hour beside a special event call. Other administrations ask at the start. Moments are session seconds.
"""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum

from msgspec import Struct

SOON_SECONDS = 60.0
"""A warning before a deadline: a choice of this program, not law."""
NOW_SECONDS = 60.0
"""How long `now` is said before `late`: a choice of this program, not law."""
NO_CALL_AT_END = "no call yet at the end"
NO_CALL_AT_START = "no call at the start"
TIME_LOST = "the clock was lost in a restart"


class Need(StrEnum):
    """How urgent a call is, in order. The end of a communication has no minute in the rule; a deadline has one."""

    QUIET = "quiet"
    RUNNING = "running"
    SIGN_OFF = "sign-off"
    SOON = "soon"
    DUE = "due"
    OVERDUE = "overdue"

    @property
    def urgency(self) -> int:
        """Larger is more urgent."""
        return list(Need).index(self)


class Kind(StrEnum):
    """Which sentence of a rule asks."""

    INTERVAL = "interval"
    END = "end"
    START = "start"
    OWN_CALL = "own-call"
    LOST_TIME = "lost-time"
    """No sentence of a rule: since the machine was off nobody knows how much of the interval is left."""


class Demand(Struct, frozen=True):
    """One thing that the rule asks for, and when it is due; `reason` is for people, empty where the count says it."""

    kind: Kind
    due: float
    reason: str = ""

    def need(self, now: float) -> Need:
        """How urgent it is. Once due, a call stays due or late until it is given."""
        if self.kind is Kind.END:
            return Need.SIGN_OFF
        if self.kind is Kind.LOST_TIME:
            return Need.DUE
        left = self.due - now
        if left > SOON_SECONDS:
            return Need.RUNNING
        if left > 0:
            return Need.SOON
        return Need.DUE if left > -NOW_SECONDS else Need.OVERDUE


class IdentificationView(Struct, frozen=True):
    """What is shown: the most urgent demand in figures and words, and whether the sign-off stands beside it.

    `left_seconds` are those of the most urgent demand that has a minute, negative once it is late; None where there
    is none. `left_part` is 1.0 just identified, 0.0 due; for the bar. `own_call` is the call that is asked for beside
    the special event call, and empty where any call will do.
    """

    need: Need
    words: str
    reason: str
    left_seconds: float | None
    left_part: float
    sign_off: bool = False
    own_call: str = ""
    demands: tuple[Demand, ...] = ()

    @property
    def late_seconds(self) -> float:
        """How long ago the most urgent demand was due; 0.0 before."""
        return max(0.0, -(self.left_seconds or 0.0))


def most_urgent(demands: Sequence[Demand], now: float) -> Demand | None:
    """What comes first: the more urgent, and of two alike the one that is due sooner."""
    return max(demands, key=lambda demand: (demand.need(now).urgency, -demand.due), default=None)


def view_of(
    demands: tuple[Demand, ...], now: float, *, interval: float | None, reason: str, own_call: str
) -> IdentificationView:
    """What is shown of these demands, of which there is at least one; `reason` is why the interval counts."""
    first = most_urgent(demands, now)
    assert first is not None
    need, shown = first.need(now), first
    if first.kind is Kind.END:
        # The sign-off has no minute of its own: the figures are those of the interval, which runs on.
        timed = [demand for demand in demands if demand.kind is not Kind.END]
        shown = most_urgent(timed, now) or first
    left = None if shown.kind in (Kind.END, Kind.LOST_TIME) else shown.due - now
    part = min(1.0, max(0.0, left / interval)) if left is not None and interval else 0.0
    sign_off = any(demand.kind is Kind.END for demand in demands)
    words = _words(need, left)
    if sign_off and need is not Need.SIGN_OFF:
        words += ", sign off"
    asked = own_call if first.kind is Kind.OWN_CALL else ""
    return IdentificationView(
        need, words, first.reason or reason, left, part, sign_off=sign_off, own_call=asked, demands=demands
    )


def _words(need: Need, left: float | None) -> str:
    if need is Need.SIGN_OFF:
        return "sign off with your call"
    if left is None or need is Need.DUE:
        return "now"
    if need is Need.OVERDUE:
        return f"late by {int(-left / 60)} min"
    return f"soon: {left:.0f} s" if need is Need.SOON else f"in {span_words(left)}"


def span_words(seconds: float) -> str:
    """A length of time with its seconds: `42 s`, `6 min 05 s`."""
    whole = max(0, int(seconds))
    return f"{whole // 60} min {whole % 60:02d} s" if whole >= 60 else f"{whole} s"
