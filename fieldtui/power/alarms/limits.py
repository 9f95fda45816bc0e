"""Alarms for what the cells stand: too full, too hot, too cold, as the chemistry table has it.

Each limit is met a little early, by what a usual sensor may be off: it is better to stop a charger at one degree
above freezing than to trust a thermometer that is stuck to the outside of the case.
"""

from __future__ import annotations

from fieldtui.power.alarms.parts import CHARGING_AMPS, GONE, NEITHER, Facts, Judged, Rule
from fieldtui.power.packs import Pack, wrong_system

SENSOR_C = 1.0
"""How far a temperature sensor of a shunt may be off (common practice, no source)."""
BACK_C = 2.0
"""An alarm is over only when the temperature is so much better: the sensor flickers (common practice, no source)."""
METER_PART = 0.005
"""How far the volts of a shunt may be off, as a part of them (common practice, no source)."""
LOAD_AMPS = 0.1
"""More than this out of the pack is a load, and not the shunt's offset (common practice, no source)."""


def limit_rules(pack: Pack) -> tuple[Rule, ...]:
    """Give the alarms for the limits of the pack's cells, the gravest first."""
    return (
        _overcharge_rule(pack),
        _hot_rule(pack),
        _hot_charge_rule(pack),
        _cold_charge_rule(pack),
        _cold_rule(pack),
    )


def _overcharge_rule(pack: Pack) -> Rule:
    """Above the end of charge; a charger may hold the pack just there, so the meter's doubt is given on top."""
    most = pack.charge_volts
    bound = most * (1 + METER_PART)

    def judge(facts: Facts) -> Judged | None:
        if facts.volts is None:
            return None
        if facts.volts > bound and not wrong_system(pack, facts.volts):
            return Judged(
                f"overcharged: {facts.volts:.2f} V, {pack.chemistry.name} ends at {most:.2f} V: "
                "disconnect the charger, keep away if it swells"
            )
        return GONE if facts.volts <= most else NEITHER

    return Rule(
        "overcharge",
        "overcharged",
        "severe",
        judge,
        hold_seconds=5.0,
        clear_seconds=30.0,
        repeat_seconds=60.0,
    )


def _hot_rule(pack: Pack) -> Rule:
    """Hotter than it may be in any use: nothing more is to flow either way."""
    most = pack.chemistry.limits.discharge_high_c

    def judge(facts: Facts) -> Judged | None:
        celsius = facts.temperature_c
        if celsius is None:
            return None
        if celsius >= most - SENSOR_C:
            return Judged(
                f"battery at {celsius:.0f} C, at most {most:.0f} C: stop transmitting, disconnect it, "
                "shade it, keep away if it swells or smokes"
            )
        return GONE if celsius < most - SENSOR_C - BACK_C else NEITHER

    return Rule(
        "hot", "battery too hot", "severe", judge, hold_seconds=5.0, clear_seconds=30.0, repeat_seconds=60.0
    )


def _hot_charge_rule(pack: Pack) -> Rule:
    kind = pack.chemistry
    most = kind.limits.charge_high_c

    def judge(facts: Facts) -> Judged | None:
        celsius, amps = facts.temperature_c, facts.amps
        if (celsius is not None and celsius < most - SENSOR_C - BACK_C) or _not_charging(amps):
            return GONE
        if celsius is None or amps is None:
            return None
        if celsius < most - SENSOR_C or amps <= CHARGING_AMPS:
            return NEITHER
        return Judged(
            f"charging at {celsius:.0f} C: {kind.name} is charged below {most:.0f} C only, "
            "disconnect the charger and let the pack cool"
        )

    return Rule(
        "charging-hot", "charging too hot", "severe", judge,
        hold_seconds=5.0, clear_seconds=30.0, repeat_seconds=60.0, together=True, overruled_by=("hot",),
    )  # fmt: skip


def _cold_charge_rule(pack: Pack) -> Rule:
    """At the limit itself too: lithium is plated at freezing as it is below."""
    kind = pack.chemistry
    least = kind.limits.charge_low_c

    def judge(facts: Facts) -> Judged | None:
        celsius, amps = facts.temperature_c, facts.amps
        if (celsius is not None and celsius > least + SENSOR_C + BACK_C) or _not_charging(amps):
            return GONE
        if celsius is None or amps is None:
            return None
        if celsius > least + SENSOR_C or amps <= CHARGING_AMPS:
            return NEITHER
        return Judged(
            f"charging at {_whole(celsius)} C: {kind.name} must be warmer than {least:.0f} C to be charged, "
            "disconnect the charger and warm the pack"
        )

    return Rule(
        "charging-cold", "charging too cold", "severe", judge,
        hold_seconds=5.0, clear_seconds=30.0, repeat_seconds=60.0, together=True,
    )  # fmt: skip


def _cold_rule(pack: Pack) -> Rule:
    """Drawing from a pack that is too cold harms it less than charging: a warning."""
    kind = pack.chemistry
    least = kind.limits.discharge_low_c

    def judge(facts: Facts) -> Judged | None:
        celsius, amps = facts.temperature_c, facts.amps
        if (celsius is not None and celsius > least + SENSOR_C + BACK_C) or (
            amps is not None and amps >= -LOAD_AMPS / 2
        ):
            return GONE
        if celsius is None or amps is None:
            return None
        if celsius > least + SENSOR_C or amps >= -LOAD_AMPS:
            return NEITHER
        return Judged(
            f"battery at {_whole(celsius)} C: {kind.name} is used above {least:.0f} C, "
            "less power, shorter overs, warm the pack"
        )

    return Rule(
        "cold", "battery too cold", "warning", judge,
        hold_seconds=5.0, clear_seconds=30.0, repeat_seconds=300.0, together=True,
        overruled_by=("charging-cold",),
    )  # fmt: skip


def _not_charging(amps: float | None) -> bool:
    return amps is not None and amps <= CHARGING_AMPS / 2


def _whole(celsius: float) -> int:
    """Whole degrees; there is no minus zero."""
    return round(celsius)
