"""What each battery alarm watches, when it is raised and taken back, and what it says."""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal

from msgspec import Struct

from fieldtui.power.packs import Pack, wrong_system

Severity = Literal["severe", "warning", "notice"]

CHARGING_AMPS = 0.1
"""More than this into the pack is charging, and not the shunt's offset."""


class Facts(Struct, frozen=True):
    """What is known at one moment. Monotonic seconds; amps negative for discharge; None is "not known"."""

    seconds: float
    volts: float | None = None
    amps: float | None = None
    temperature_c: float | None = None
    charge_high_percent: float | None = None
    sending_since: float | None = None
    last_reading_seconds: float | None = None
    resistance_rising: str | None = None
    wired_backwards: bool = False


class Limits(Struct, frozen=True):
    """Where the alarms stand for one station. The chemistry gives the volts; common practice the rest.

    `discharge_amps` is what pack, fuse and leads stand; left out, the rated capacity in one hour. The long over is
    called out at 150 s: repeaters commonly cut off at 180 s (common practice, no source).
    """

    pack: Pack
    discharge_amps: float | None = None
    long_over_seconds: float = 150.0
    silent_seconds: float = 30.0

    @property
    def most_amps(self) -> float:
        """Largest discharge to allow, in amps as a load."""
        return self.pack.total_amp_hours if self.discharge_amps is None else self.discharge_amps

    def volts_above_cutoff(self, share: float) -> float:
        """Give the volts a `share` of the way from the cut-off up to the warning."""
        return self.pack.cutoff_volts + share * (self.pack.warn_volts - self.pack.cutoff_volts)


class Rule(Struct, frozen=True):
    """One alarm. `raised` gives its words when its condition holds; `cleared` tells whether it is surely gone."""

    kind: str
    name: str
    severity: Severity
    raised: Callable[[Facts], str | None]
    cleared: Callable[[Facts], bool]
    hold_seconds: float = 0.0
    clear_seconds: float = 10.0
    repeat_seconds: float = 300.0
    overruled_by: tuple[str, ...] = ()


def rules_for(limits: Limits) -> tuple[Rule, ...]:
    """Give the alarms of a station, the gravest first."""
    return (
        *(_stage_rule(limits, stage) for stage in _STAGES),
        _discharge_rule(limits),
        _cold_rule(limits),
        _silent_rule(limits),
        _long_over_rule(limits),
        _resistance_rule(),
        _backwards_rule(),
        _system_rule(limits),
    )


class _Stage(Struct, frozen=True):
    """One step on the way down: its volts as a share of the way from cut-off to warning, and its charge."""

    kind: str
    name: str
    share: float
    percent: float | None
    remedy: str
    graver: tuple[str, ...] = ()


_STAGES = (
    _Stage("cutoff-near", "cut-off near", 0.25, None, "stop transmitting, connect a charger"),
    _Stage("very-low", "battery very low", 0.6, 10.0, "finish the contact, save the pack", ("cutoff-near",)),
    _Stage(
        "low",
        "battery low",
        1.0,
        20.0,
        "plan the end: less power, shorter overs, or a charger",
        ("very-low", "cutoff-near"),
    ),
)
"""Shares and percentages are common practice, no source."""


def _stage_rule(limits: Limits, stage: _Stage) -> Rule:
    """Watch one stage. It must hold for some seconds, so that the dip at the start of an over is no alarm."""
    bound = limits.volts_above_cutoff(stage.share)
    again = bound + 0.02 * limits.pack.nominal_volts
    percent = stage.percent

    def raised(facts: Facts) -> str | None:
        if facts.volts is not None and facts.volts < bound and not _wrong(limits, facts):
            return f"{stage.name}: {facts.volts:.2f} V ({stage.remedy})"
        charge = facts.charge_high_percent
        if percent is not None and charge is not None and charge < percent:
            return f"{stage.name}: at most {charge:.0f} % left ({stage.remedy})"
        return None

    def cleared(facts: Facts) -> bool:
        charge = facts.charge_high_percent
        full_enough = percent is None or charge is None or charge > percent + 5
        return facts.volts is not None and facts.volts > again and full_enough

    severe = stage.kind != "low"
    return Rule(
        stage.kind,
        stage.name,
        "severe" if severe else "warning",
        raised,
        cleared,
        hold_seconds=8.0 if stage.graver else 3.0,
        clear_seconds=30.0,
        repeat_seconds=60.0 if severe else 300.0,
        overruled_by=stage.graver,
    )


def _discharge_rule(limits: Limits) -> Rule:
    most = limits.most_amps

    def raised(facts: Facts) -> str | None:
        if facts.amps is None or -facts.amps <= most:
            return None
        return f"discharge of {-facts.amps:.1f} A, more than {most:.1f} A: reduce power, check for a short circuit"

    def cleared(facts: Facts) -> bool:
        return facts.amps is not None and -facts.amps < 0.9 * most

    return Rule("over-current", "discharge current too high", "severe", raised, cleared, 2.0, 5.0, 60.0)


def _cold_rule(limits: Limits) -> Rule:
    kind = limits.pack.chemistry
    least = kind.limits.charge_low_c

    def raised(facts: Facts) -> str | None:
        if facts.temperature_c is None or facts.amps is None:
            return None
        if facts.temperature_c >= least or facts.amps <= CHARGING_AMPS:
            return None
        return (
            f"charging at {facts.temperature_c:.0f} C: {kind.name} must not be charged below {least:.0f} C, "
            "disconnect the charger and warm the pack"
        )

    def cleared(facts: Facts) -> bool:
        warm = facts.temperature_c is not None and facts.temperature_c > least + 1
        return warm or (facts.amps is not None and facts.amps <= CHARGING_AMPS / 2)

    return Rule("charging-cold", "charging too cold", "severe", raised, cleared, 5.0, 30.0, 60.0)


def _silent_rule(limits: Limits) -> Rule:
    def silence(facts: Facts) -> float:
        return 0.0 if facts.last_reading_seconds is None else facts.seconds - facts.last_reading_seconds

    def raised(facts: Facts) -> str | None:
        silent = silence(facts)
        if silent <= limits.silent_seconds:
            return None
        return f"no battery reading for {silent:.0f} s: check the cable and the port, or type 'volts X' from a meter"

    def cleared(facts: Facts) -> bool:
        return silence(facts) < limits.silent_seconds / 3

    return Rule("feed-silent", "battery feed silent", "warning", raised, cleared, 0.0, 3.0)


def _long_over_rule(limits: Limits) -> Rule:
    def raised(facts: Facts) -> str | None:
        if facts.sending_since is None:
            return None
        sending = facts.seconds - facts.sending_since
        return f"transmitting for {sending:.0f} s: pause" if sending > limits.long_over_seconds else None

    def cleared(facts: Facts) -> bool:
        return facts.sending_since is None

    return Rule("long-over", "long over", "notice", raised, cleared, 0.0, 0.0, 60.0)


def _resistance_rule() -> Rule:
    return Rule(
        "resistance-rising",
        "resistance rising",
        "warning",
        lambda facts: facts.resistance_rising,
        lambda facts: facts.resistance_rising is None,
        repeat_seconds=600.0,
    )


def _backwards_rule() -> Rule:
    text = (
        "the shunt seems wired backwards: volts fall when it shows charging; "
        "turn it round, or set amps_positive_is in the station file"
    )
    return Rule(
        "wired-backwards",
        "shunt wired backwards",
        "warning",
        lambda facts: text if facts.wired_backwards else None,
        lambda facts: not facts.wired_backwards,
        repeat_seconds=600.0,
    )


def _system_rule(limits: Limits) -> Rule:
    return Rule(
        "wrong-system",
        "pack does not fit the station file",
        "warning",
        lambda facts: _wrong(limits, facts),
        lambda facts: facts.volts is not None and _wrong(limits, facts) is None,
        hold_seconds=5.0,
        repeat_seconds=600.0,
    )


def _wrong(limits: Limits, facts: Facts) -> str | None:
    return None if facts.volts is None else wrong_system(limits.pack, facts.volts)
