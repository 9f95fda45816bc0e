"""What each battery alarm watches, when it is raised and taken back, and what it says."""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal

from msgspec import Struct

from fieldtui.power.packs import Pack, wrong_system

Severity = Literal["severe", "warning", "notice"]

CHARGING_AMPS = 0.1
"""More than this into the pack is charging, and not the shunt's offset."""


CHARGE_BACK_PERCENT = 5.0
"""An alarm about the charge is over only when there is so much more again."""


class Facts(Struct, frozen=True):
    """What one reading tells. Monotonic seconds; amps negative for discharge; None is "this reading does not tell"."""

    seconds: float
    volts: float | None = None
    amps: float | None = None
    temperature_c: float | None = None
    sending_since: float | None = None
    """Since when the current has told of a transmission; None while there is none."""
    wired_backwards: bool | None = None


class Estimate(Struct, frozen=True):
    """What the session's sums come to at the moment of a line of its journal."""

    seconds: float
    charge_high_percent: float | None = None
    resistance_rising: str | None = None


class Times(Struct, frozen=True):
    """What is known of time alone: the last reading, and since when there was a transmission as of that reading."""

    last_reading: float | None = None
    sending_since: float | None = None


class Limits(Struct, frozen=True):
    """Where the alarms stand for one station. The chemistry gives the volts; common practice the rest.

    `discharge_amps` is what pack, fuse and leads stand; left out, the rated capacity in one hour. The long over is
    called out at 150 s: repeaters commonly cut off at 180 s (common practice, no source).
    """

    pack: Pack
    discharge_amps: float | None = None
    long_over_seconds: float = 150.0
    silent_seconds: float = 30.0
    gap_seconds: float = 5.0
    """Two readings further apart than this do not tell what was between them, unless the feed is always so slow."""

    @property
    def most_amps(self) -> float:
        """Largest discharge to allow, in amps as a load."""
        return self.pack.total_amp_hours if self.discharge_amps is None else self.discharge_amps

    def volts_above_cutoff(self, share: float) -> float:
        """Give the volts a `share` of the way from the cut-off up to the warning."""
        return self.pack.cutoff_volts + share * (self.pack.warn_volts - self.pack.cutoff_volts)


class Judged(Struct, frozen=True):
    """What a rule says to one reading: its condition holds, in these words; or is surely gone; or neither."""

    text: str | None = None
    gone: bool = False


GONE, NEITHER = Judged(gone=True), Judged()


class Rule(Struct, frozen=True):
    """One alarm.

    `judge` answers to a reading, `judge_estimate` to an estimate: None is "knows nothing of it", and changes
    nothing. `due` is the moment at which time alone raises the alarm, with its words. A condition must hold for
    `hold_seconds` before the alarm is raised, and be gone for `clear_seconds` before it is taken back, both counted
    from reading to reading.
    """

    kind: str
    name: str
    severity: Severity
    judge: Callable[[Facts], Judged | None] | None = None
    judge_estimate: Callable[[Estimate], Judged | None] | None = None
    due: Callable[[Times], tuple[float, str] | None] | None = None
    hold_seconds: float = 0.0
    clear_seconds: float = 10.0
    repeat_seconds: float = 300.0
    overruled_by: tuple[str, ...] = ()
    together: bool = False
    """Whether it needs what one reading may tell and the next one not: then the latest of each is taken."""


def rules_for(limits: Limits) -> tuple[Rule, ...]:
    """Give the alarms of a station, the gravest first."""
    return (
        *(_stage_rule(limits, stage) for stage in _STAGES),
        _discharge_rule(limits),
        _cold_rule(limits),
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
    """Watch one stage. It must hold for some seconds, so that the dip at the start of an over is no alarm."""
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


def _cold_rule(limits: Limits) -> Rule:
    kind = limits.pack.chemistry
    least = kind.limits.charge_low_c

    def judge(facts: Facts) -> Judged | None:
        celsius, amps = facts.temperature_c, facts.amps
        if (celsius is not None and celsius > least + 1) or (amps is not None and amps <= CHARGING_AMPS / 2):
            return GONE
        if celsius is None or amps is None:
            return None
        if celsius >= least or amps <= CHARGING_AMPS:
            return NEITHER
        return Judged(
            f"charging at {celsius:.0f} C: {kind.name} must not be charged below {least:.0f} C, "
            "disconnect the charger and warm the pack"
        )

    return Rule(
        "charging-cold", "charging too cold", "severe", judge,
        hold_seconds=5.0, clear_seconds=30.0, repeat_seconds=60.0, together=True,
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
