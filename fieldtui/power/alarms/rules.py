"""What each battery alarm watches, when it is raised and taken back, and what it says."""

from __future__ import annotations

from msgspec import Struct

from fieldtui.power.alarms.limits import limit_rules
from fieldtui.power.alarms.parts import (
    GONE,
    NEITHER,
    Estimate,
    Facts,
    Judged,
    Limits,
    Rule,
    Severity,
    Times,
)
from fieldtui.power.packs import wrong_system

__all__ = ["Estimate", "Facts", "Judged", "Limits", "Rule", "Severity", "Times", "rules_for"]

CHARGE_BACK_PERCENT = 5.0
"""An alarm about the charge is over only when there is so much more again."""


def rules_for(limits: Limits) -> tuple[Rule, ...]:
    """Give the alarms of a station, the gravest first."""
    return (
        *(_stage_rule(limits, stage) for stage in _STAGES),
        _discharge_rule(limits),
        *limit_rules(limits.pack),
        *(_charge_rule(stage) for stage in _CHARGE_STAGES),
        _silent_rule(limits),
        _long_over_rule(limits),
        _resistance_rule(),
        _backwards_rule(),
        _system_rule(limits),
    )


class _Stage(Struct, frozen=True):
    """One step on the way down by its volts, as a share of the way from cut-off to warning."""

    kind: str
    name: str
    share: float
    remedy: str
    graver: tuple[str, ...] = ()


_VERY_LOW, _LOW = "finish the contact, save the pack", "plan the end: less power, shorter overs, or a charger"

_STAGES = (
    _Stage("cutoff-near", "cut-off near", 0.3, "stop transmitting, connect a charger"),
    _Stage("very-low", "battery very low", 0.6, _VERY_LOW, ("cutoff-near",)),
    _Stage("low", "battery low", 1.0, _LOW, ("very-low", "cutoff-near")),
)
"""Shares are common practice, no source."""


class _ChargeStage(Struct, frozen=True):
    """One step on the way down by what was counted, which is told where the volts do not tell as much."""

    kind: str
    name: str
    percent: float
    remedy: str
    graver: tuple[str, ...]


_CHARGE_STAGES = (
    _ChargeStage("charge-very-low", "battery very low", 10.0, _VERY_LOW, ("cutoff-near", "very-low")),
    _ChargeStage(
        "charge-low", "battery low", 20.0, _LOW, ("cutoff-near", "very-low", "charge-very-low", "low")
    ),
)
"""Percentages are common practice, no source."""


def _stage_rule(limits: Limits, stage: _Stage) -> Rule:
    """Watch one stage. It must hold for some seconds, so that the dip at the start of an over is not an alarm."""
    bound = limits.volts_above_cutoff(stage.share)
    again = bound + 0.02 * limits.pack.nominal_volts

    def judge(facts: Facts) -> Judged | None:
        if facts.volts is None:
            return None
        if facts.volts < bound and not wrong_system(limits.pack, facts.volts):
            return Judged(f"{stage.name}: {facts.volts:.2f} V ({stage.remedy})")
        return GONE if facts.volts > again else NEITHER

    severe = stage.kind != "low"
    return Rule(
        stage.kind,
        stage.name,
        "severe" if severe else "warning",
        judge,
        hold_seconds=8.0 if stage.graver else 3.0,
        clear_seconds=30.0,
        repeat_seconds=60.0 if severe else 300.0,
        overruled_by=stage.graver,
    )


def _charge_rule(stage: _ChargeStage) -> Rule:
    """Watch what was counted. It has no dips, so nothing must hold; it comes back only by charging."""

    def judge(estimate: Estimate) -> Judged | None:
        charge = estimate.charge_high_percent
        if charge is None:
            return None
        if charge < stage.percent:
            return Judged(f"{stage.name}: at most {charge:.0f} % left ({stage.remedy})")
        return GONE if charge > stage.percent + CHARGE_BACK_PERCENT else NEITHER

    severe = stage.kind != "charge-low"
    return Rule(
        stage.kind,
        stage.name,
        "severe" if severe else "warning",
        judge_estimate=judge,
        clear_seconds=0.0,
        repeat_seconds=60.0 if severe else 300.0,
        overruled_by=stage.graver,
    )


def _discharge_rule(limits: Limits) -> Rule:
    most = limits.most_amps

    def judge(facts: Facts) -> Judged | None:
        if facts.amps is None:
            return None
        load = -facts.amps
        if load > most:
            return Judged(
                f"discharge of {load:.1f} A, more than {most:.1f} A: reduce power, check for a short circuit"
            )
        return GONE if load < 0.9 * most else NEITHER

    return Rule(
        "over-current", "discharge current too high", "severe", judge,
        hold_seconds=2.0, clear_seconds=5.0, repeat_seconds=60.0,
    )  # fmt: skip


def _silent_rule(limits: Limits) -> Rule:
    seconds = limits.silent_seconds
    text = f"no battery reading for {seconds:.0f} s: check the cable and the port, or type 'volts X' from a meter"

    def due(times: Times) -> tuple[float, str] | None:
        return None if times.last_reading is None else (times.last_reading + seconds, text)

    return Rule(
        "feed-silent", "battery feed silent", "warning", lambda _: GONE, due=due, clear_seconds=3.0
    )  # fmt: skip


def _long_over_rule(limits: Limits) -> Rule:
    seconds = limits.long_over_seconds
    text = f"transmitting for {seconds:.0f} s: pause"

    def due(times: Times) -> tuple[float, str] | None:
        since, last = times.sending_since, times.last_reading
        if since is None or last is None or since + seconds - last > limits.gap_seconds:
            # Nobody knows whether it still goes on, after so long without a reading.
            return None
        return since + seconds, text

    return Rule(
        "long-over", "long over", "notice",
        lambda facts: GONE if facts.sending_since is None else NEITHER,
        due=due, clear_seconds=0.0, repeat_seconds=60.0,
    )  # fmt: skip


def _resistance_rule() -> Rule:
    def judge(estimate: Estimate) -> Judged:
        return GONE if estimate.resistance_rising is None else Judged(estimate.resistance_rising)

    return Rule(
        "resistance-rising", "resistance rising", "warning",
        judge_estimate=judge, clear_seconds=0.0, repeat_seconds=600.0,
    )  # fmt: skip


def _backwards_rule() -> Rule:
    text = (
        "the shunt seems wired backwards: volts fall when it shows charging; "
        "turn it round, or set amps_positive_is in the station file"
    )

    def judge(facts: Facts) -> Judged | None:
        if facts.wired_backwards is None:
            return None
        return Judged(text) if facts.wired_backwards else GONE

    return Rule("wired-backwards", "shunt wired backwards", "warning", judge, repeat_seconds=600.0)


def _system_rule(limits: Limits) -> Rule:
    def judge(facts: Facts) -> Judged | None:
        if facts.volts is None:
            return None
        wrong = wrong_system(limits.pack, facts.volts)
        return Judged(wrong) if wrong else GONE

    return Rule(
        "wrong-system", "pack does not fit the station file", "warning", judge,
        hold_seconds=5.0, repeat_seconds=600.0,
    )  # fmt: skip
