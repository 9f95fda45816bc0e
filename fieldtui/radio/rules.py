"""Identification rules: when a station gives its call sign, by administration. Advice, never permission."""

from __future__ import annotations

from typing import Any, Literal

from msgspec import Struct
from msgspec.structs import replace

from fieldtui.data.tables import load_toml


class IdentificationRule(Struct, frozen=True):
    """What one administration asks for; None where its rule says nothing.

    `unit` is what the rule counts; the interval runs while a unit is open, or always. `suggest_seconds` is a
    reminder where no interval is given: a habit, not law. `special_event_base_call_seconds` is how often the
    assigned call joins a special event call. `visitor_order` is where a visitor puts the host's prefix.
    `data_call_identifies`: a call sent as data identifies what is sent as data; else the rule was not found to say so.
    """

    name: str
    id_at_start: bool
    id_at_end: bool
    unit: Literal["communication", "transmission"]
    visitor_order: Literal["prefix", "suffix", "either", "unknown"]
    source: str
    checked: str
    status: str
    note: str
    interval_seconds: int | None = None
    interval_runs: Literal["while_unit_open", "always"] | None = None
    languages: tuple[str, ...] | None = None
    auto_cw_max_wpm: int | None = None
    special_event_base_call_seconds: int | None = None
    suggest_seconds: int | None = None
    data_call_identifies: bool = False


LONGEST_INTERVAL_SECONDS = 86_400
"""A longer one in a journal is not a rule of any place."""


def rule_names() -> tuple[str, ...]:
    """Return the names that `identification_rule` takes."""
    return tuple(load_toml("identification_rules.toml"))


def identification_rule(name: str) -> IdentificationRule:
    """Return the rule of an administration (`us`, `canada`, `uk`, ...) or `own`.

    Raises ValueError, with the names that are known, for any other.
    """
    rows = load_toml("identification_rules.toml")
    if name not in rows:
        raise ValueError(f"no identification rule named {name[:20]!a}: use one of {', '.join(rows)}")
    row: dict[str, Any] = dict(rows[name])
    row["checked"] = row["checked"].isoformat()
    row["languages"] = tuple(row["languages"]) if "languages" in row else None
    return IdentificationRule(**row)


def with_interval(rule: IdentificationRule, seconds: int) -> IdentificationRule:
    """Return the rule with an interval of the operator's choice, in seconds, no longer than the rule's own.

    A rule without an interval takes any. Raises ValueError for a longer one, for zero and below.
    """
    if seconds <= 0:
        raise ValueError(f"an identification interval is a number of seconds above zero, not {seconds}")
    if rule.interval_seconds is not None and seconds > rule.interval_seconds:
        raise ValueError(
            f"the rule ({rule.name}) allows at most {rule.interval_seconds} s between identifications: "
            f"choose that or less, not {seconds} s"
        )
    return replace(rule, interval_seconds=seconds, interval_runs=rule.interval_runs or "while_unit_open")


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
