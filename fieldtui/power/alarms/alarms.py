"""Alarms of the battery: what is wrong, said once, said again if ignored, and taken back when it is over.

Pure: readings, estimates and time come in, changes come out. Every alarm has a condition that must hold for some
seconds, a second, easier condition that must hold before it is taken back (so that a noisy voltage does not
chatter), words that name the remedy, and a pace at which it is repeated until somebody acknowledges it.

What a reading can tell is decided by readings alone: seconds are counted from one reading that tells of a rule to
the next, and a reading that tells nothing of it changes nothing. So it makes no difference how often, or when,
somebody asks in between. What time alone tells (nobody reads any more, an over goes on) has a moment that follows
from the last reading, and is told with that moment, whenever it is noticed. What is estimated from the journal's
lines has the moments of those lines, and may come later than the readings.
"""

from __future__ import annotations

from collections.abc import Collection
from typing import Literal

from msgspec import Struct, field
from msgspec.structs import replace

from fieldtui.power.alarms.rules import Estimate, Facts, Judged, Limits, Rule, Severity, Times, rules_for

__all__ = ["Alarm", "Alarms", "Change", "Estimate", "Facts", "Limits", "Rule", "Severity", "judged_at_once"]

Happening = Literal["raised", "repeated", "cleared"]

TOGETHER_SECONDS = 30.0
"""What an earlier reading told is taken together with this one for so long: current and temperature may come apart."""
SLOW_FEED = 2.5
"""A feed whose readings always come so far apart is slow, and not interrupted: a gap is longer than usual by this."""
REMEMBERED = 8
"""Stretches of each alarm that are kept: estimates come late by seconds."""


class Change(Struct, frozen=True):
    """Something to tell: an alarm was raised, is repeated, or is over. `text` is one line with the remedy."""

    kind: str
    happening: Happening
    severity: Severity
    text: str
    seconds: float


class Alarm(Struct):
    """One alarm that stands."""

    rule: Rule
    text: str
    since_seconds: float
    told_seconds: float
    acknowledged: bool = False


class _Count(Struct):
    """How long a condition has held, or has been gone, over the readings that tell of it; None is "it does not"."""

    held: float | None = None
    gone: float | None = None
    last: float | None = None
    interval: float = 0.0
    """Between the last two readings that told of it."""


class Alarms(Struct):
    """The state of all alarms.

    `take` is called with every reading, `take_estimate` with every estimate, both in the order of their moments, and
    `pass_time` about once a second.
    """

    limits: Limits
    active: dict[str, Alarm] = field(default_factory=dict)
    _counts: dict[str, _Count] = field(default_factory=dict)
    _stood: dict[str, list[list[float]]] = field(default_factory=dict)
    """Of each alarm, when it was raised and was over."""
    _times: Times = Times()
    _told: dict[str, tuple[float, float]] = field(default_factory=dict)
    """Of current and temperature, when it was told last, and what."""
    _rules: tuple[Rule, ...] = ()
    _estimated: float = float("-inf")

    def __post_init__(self) -> None:
        """Work out the rules once."""
        self._rules = rules_for(self.limits)
        self._counts = {rule.kind: _Count() for rule in self._rules}

    def take(self, facts: Facts) -> list[Change]:
        """Take a reading and give what is to be told, what came due before it first."""
        changes = self.pass_time(facts.seconds)
        self._times = Times(facts.seconds, facts.sending_since)
        together = self._together(facts)
        for rule in self._rules:
            judged = rule.judge(together if rule.together else facts) if rule.judge else None
            if judged is not None:
                changes += self._judged(rule, judged, facts.seconds)
        # An over that goes on behind a gap may be too long already; nobody knew while nothing was read.
        return changes + self._come_due(facts.seconds, not_before=facts.seconds)

    def take_estimate(self, estimate: Estimate) -> list[Change]:
        """Take what the lines of the journal come to at one of them; a line that came late tells nothing new."""
        changes: list[Change] = []
        if estimate.seconds < self._estimated:
            return changes
        self._estimated = estimate.seconds
        for rule in self._rules:
            judged = rule.judge_estimate(estimate) if rule.judge_estimate else None
            if judged is not None:
                changes += self._judged(rule, judged, estimate.seconds)
        return changes

    def pass_time(self, now_seconds: float) -> list[Change]:
        """Tell what came due, and what is to be said again."""
        changes = self._come_due(now_seconds)
        for alarm in self.active.values():
            rule, waited = alarm.rule, now_seconds - alarm.told_seconds
            if alarm.acknowledged or waited < rule.repeat_seconds or self._counts[rule.kind].gone is not None:
                continue
            if not self._overruled(rule, now_seconds):
                alarm.told_seconds = now_seconds
                changes.append(Change(rule.kind, "repeated", rule.severity, alarm.text, now_seconds))
        return changes

    def lose_sight(self, seconds: float) -> list[Change]:
        """The feed is gone: nobody knows any more whether anything is being sent."""
        self._times = replace(self._times, sending_since=None)
        alarm = self.active.get("long-over")
        return [self._clear(alarm.rule, max(seconds, alarm.since_seconds))] if alarm else []

    def acknowledge(self, kind: str | None = None) -> list[str]:
        """Take it that the operator has seen one alarm, or all: they stand, but are not repeated."""
        seen = [name for name in self.active if kind in (None, name)]
        for name in seen:
            self.active[name].acknowledged = True
        return seen

    def restore(self, kind: str, text: str, seconds: float, *, acknowledged: bool) -> None:
        """Let an alarm stand that was raised elsewhere, or before this began; an unknown kind is passed over."""
        rule = next((rule for rule in self._rules if rule.kind == kind), None)
        if rule is not None and kind not in self.active:
            self._raise(rule, text, seconds)
            self.active[kind].acknowledged = acknowledged

    def drop(self, kind: str, seconds: float) -> None:
        """An alarm was taken back elsewhere."""
        if kind in self.active:
            self._clear(self.active[kind].rule, seconds)

    def worst(self) -> Alarm | None:
        """Give the gravest alarm that stands, the oldest of equals."""
        order = {"severe": 0, "warning": 1, "notice": 2}
        return min(
            self.active.values(),
            key=lambda alarm: (order[alarm.rule.severity], alarm.since_seconds),
            default=None,
        )

    # Readings

    def _together(self, facts: Facts) -> Facts:
        """The reading, with current and temperature as they were told last, if one of the two is new."""
        if facts.amps is None and facts.temperature_c is None:
            return facts
        now: dict[str, float | None] = {}
        for name, value in (("amps", facts.amps), ("temperature_c", facts.temperature_c)):
            if value is not None:
                self._told[name] = facts.seconds, value
            at, last = self._told.get(name, (float("-inf"), None))
            now[name] = last if facts.seconds - at <= TOGETHER_SECONDS else None
        return replace(facts, **now)

    def _judged(self, rule: Rule, judged: Judged, seconds: float) -> list[Change]:
        count = self._counts[rule.kind]
        counted = self._counted(count, seconds)
        if (alarm := self.active.get(rule.kind)) is not None:
            count.gone = None if not judged.gone else 0.0 if count.gone is None else count.gone + counted
            alarm.text = judged.text or alarm.text
            over = count.gone is not None and count.gone >= rule.clear_seconds
            return [self._clear(rule, seconds)] if over else []
        if judged.text is None or self._overruled(rule, seconds):
            count.held = None
            return []
        count.held = 0.0 if count.held is None else count.held + counted
        return [self._raise(rule, judged.text, seconds)] if count.held >= rule.hold_seconds else []

    def _counted(self, count: _Count, seconds: float) -> float:
        """Seconds since the last reading that told of the rule; a gap counts neither as held nor as gone.

        What was between two readings far apart nobody saw: it proves nothing, and takes nothing back.
        """
        if count.last is None:
            count.last = seconds
            return 0.0
        elapsed = max(0.0, seconds - count.last)
        usual = min(SLOW_FEED * count.interval, self.limits.silent_seconds)
        count.last, count.interval = seconds, elapsed
        return elapsed if elapsed <= max(self.limits.gap_seconds, usual) else 0.0

    # Time

    def _come_due(self, now_seconds: float, *, not_before: float = float("-inf")) -> list[Change]:
        changes = []
        for rule in self._rules:
            due = rule.due(self._times) if rule.due else None
            if due is None or due[0] > now_seconds:
                continue
            if rule.kind in self.active:
                self._counts[rule.kind].gone = None
            else:
                changes.append(self._raise(rule, due[1], max(due[0], not_before)))
        return changes

    # Standing

    def _raise(self, rule: Rule, text: str, seconds: float) -> Change:
        self._counts[rule.kind] = replace(self._counts[rule.kind], held=None, gone=None)
        self.active[rule.kind] = Alarm(rule, text, since_seconds=seconds, told_seconds=seconds)
        stood = self._stood.setdefault(rule.kind, [])
        stood.append([seconds, float("inf")])
        del stood[:-REMEMBERED]
        return Change(rule.kind, "raised", rule.severity, text, seconds)

    def _clear(self, rule: Rule, seconds: float) -> Change:
        self._counts[rule.kind] = replace(self._counts[rule.kind], held=None, gone=None)
        del self.active[rule.kind]
        self._stood[rule.kind][-1][1] = seconds
        return Change(rule.kind, "cleared", rule.severity, f"over: {rule.name}", seconds)

    def _overruled(self, rule: Rule, seconds: float) -> bool:
        """Tell whether a graver alarm of the same thing stood at a moment: low says nothing beside very low."""
        return any(
            since <= seconds < until
            for kind in rule.overruled_by
            for since, until in self._stood.get(kind, ())
        )


def judged_at_once(limits: Limits, standing: Collection[str], facts: Facts) -> list[Change]:
    """Give what one careful reading raises and takes back, such as a person's from a meter: nothing must hold.

    `standing` are the kinds of the alarms that stand.
    """
    changes, stand = [], set(standing)
    for rule in rules_for(limits):
        judged = rule.judge(facts) if rule.judge and not rule.due else None
        if judged is None:
            continue
        if rule.kind in stand:
            if judged.gone:
                stand.discard(rule.kind)
                changes.append(
                    Change(rule.kind, "cleared", rule.severity, f"over: {rule.name}", facts.seconds)
                )
        elif judged.text is not None and not stand.intersection(rule.overruled_by):
            stand.add(rule.kind)
            changes.append(Change(rule.kind, "raised", rule.severity, judged.text, facts.seconds))
    return changes
