"""Alarms of the battery: what is wrong, said once, said again if ignored, and taken back when it is over.

Pure: time and facts come in, changes come out. Every alarm has a condition that must hold for some seconds, a
second, easier condition that must hold before it is taken back (so that a noisy voltage does not chatter), words
that name the remedy, and a pace at which it is repeated until somebody acknowledges it.
"""

from __future__ import annotations

from typing import Literal

from msgspec import Struct, field

from fieldtui.power.alarm_rules import Facts, Limits, Rule, Severity, rules_for

__all__ = ["Alarm", "Alarms", "Change", "Facts", "Limits", "Rule", "Severity"]

Happening = Literal["raised", "repeated", "cleared"]


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
    gone_since: float | None = None


class Alarms(Struct):
    """The state of all alarms. `update` is called with every reading, and about once a second without one."""

    limits: Limits
    active: dict[str, Alarm] = field(default_factory=dict)
    _holding: dict[str, float] = field(default_factory=dict)
    _rules: tuple[Rule, ...] = ()

    def __post_init__(self) -> None:
        """Work out the rules once."""
        self._rules = rules_for(self.limits)

    def update(self, facts: Facts) -> list[Change]:
        """Take the facts of this moment and give what is to be told."""
        changes: list[Change] = []
        for rule in self._rules:
            alarm = self.active.get(rule.kind)
            change = self._watch(rule, facts) if alarm is None else self._follow(alarm, facts)
            if change is not None:
                changes.append(change)
        return changes

    def acknowledge(self, kind: str | None = None) -> list[str]:
        """Take it that the operator has seen one alarm, or all: they stand, but are not repeated."""
        seen = [name for name in self.active if kind in (None, name)]
        for name in seen:
            self.active[name].acknowledged = True
        return seen

    def restore(self, kind: str, text: str, seconds: float, *, acknowledged: bool) -> None:
        """Let an alarm stand that stood before the program was started again; an unknown kind is passed over."""
        rule = next((rule for rule in self._rules if rule.kind == kind), None)
        if rule is not None:
            self.active[kind] = Alarm(rule, text, seconds, seconds, acknowledged)

    def worst(self) -> Alarm | None:
        """Give the gravest alarm that stands, the oldest of equals."""
        order = {"severe": 0, "warning": 1, "notice": 2}
        return min(
            self.active.values(),
            key=lambda alarm: (order[alarm.rule.severity], alarm.since_seconds),
            default=None,
        )

    def _watch(self, rule: Rule, facts: Facts) -> Change | None:
        text = rule.raised(facts)
        if text is None or self._overruled(rule):
            self._holding.pop(rule.kind, None)
            return None
        since = self._holding.setdefault(rule.kind, facts.seconds)
        if facts.seconds - since < rule.hold_seconds:
            return None
        del self._holding[rule.kind]
        self.active[rule.kind] = Alarm(rule, text, since_seconds=facts.seconds, told_seconds=facts.seconds)
        return Change(rule.kind, "raised", rule.severity, text, facts.seconds)

    def _follow(self, alarm: Alarm, facts: Facts) -> Change | None:
        rule = alarm.rule
        if rule.cleared(facts):
            return self._clear(alarm, facts)
        alarm.gone_since = None
        alarm.text = rule.raised(facts) or alarm.text
        waited = facts.seconds - alarm.told_seconds
        if alarm.acknowledged or self._overruled(rule) or waited < rule.repeat_seconds:
            return None
        alarm.told_seconds = facts.seconds
        return Change(rule.kind, "repeated", rule.severity, alarm.text, facts.seconds)

    def _clear(self, alarm: Alarm, facts: Facts) -> Change | None:
        alarm.gone_since = facts.seconds if alarm.gone_since is None else alarm.gone_since
        if facts.seconds - alarm.gone_since < alarm.rule.clear_seconds:
            return None
        del self.active[alarm.rule.kind]
        return Change(
            alarm.rule.kind, "cleared", alarm.rule.severity, f"over: {alarm.rule.name}", facts.seconds
        )

    def _overruled(self, rule: Rule) -> bool:
        """Tell whether a graver alarm of the same thing stands already: low says nothing beside very low."""
        return any(kind in self.active for kind in rule.overruled_by)
