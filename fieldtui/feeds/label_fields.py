"""The fields of a label/value frame turned into a battery reading.

Labels and units are those of a maker's published serial text protocol for battery shunts: whole numbers of
milli-units, per mille, minutes and degrees. Labels this table does not know are no problem.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from fieldtui.feeds.plausible import limit_broken
from fieldtui.feeds.readings import BatteryReading, Item, Problem, problem
from fieldtui.feeds.safe_text import quoted

if TYPE_CHECKING:
    from collections.abc import Mapping

QUANTITIES = {
    b"V": ("volts", 1000),
    b"I": ("amps", 1000),
    b"P": ("watts", 1),
    b"CE": ("used_amp_hours", 1000),
    b"SOC": ("charge_percent", 10),
    b"TTG": ("minutes_left", 1),
    b"T": ("temperature_c", 1),
}
"""Label on the wire: what it measures, and the number of wire units in one of ours."""

NOT_KNOWN = b"---"
"""A sender's word for a value it does not have (from memory)."""

_INTEGER = re.compile(rb"[+-]?[0-9]{1,9}")
_LABELS = {*QUANTITIES, b"Alarm"}
_SWITCH = {b"ON": True, b"OFF": False, NOT_KNOWN: None}


def read_fields(fields: Mapping[bytes, bytes]) -> list[Item]:
    """Return the problems of a checked frame, then its reading.

    History totals and other frames without a battery quantity give nothing, impossible values a problem.
    """
    if _LABELS.isdisjoint(fields):
        return []
    problems: list[Problem] = []
    values = {
        name: _number(fields, label, per_unit, problems) for label, (name, per_unit) in QUANTITIES.items()
    }
    if (values["minutes_left"] or 0) < 0:  # -1: not being discharged, so there is no end in sight
        values["minutes_left"] = None
    reading = BatteryReading(**values, alarm=_alarm(fields, problems))
    broken = limit_broken(reading)
    return [*problems, problem("implausible", broken) if broken else reading]


def _number(
    fields: Mapping[bytes, bytes], label: bytes, per_unit: int, problems: list[Problem]
) -> float | None:
    value = fields.get(label, NOT_KNOWN)
    if value == NOT_KNOWN:
        return None
    # The pattern comes first: int() also takes 1_2 and blanks.
    if not _INTEGER.fullmatch(value):
        problems.append(_bad_value(label, value))
        return None
    return int(value) / per_unit


def _alarm(fields: Mapping[bytes, bytes], problems: list[Problem]) -> bool | None:
    value = fields.get(b"Alarm", NOT_KNOWN)
    if value not in _SWITCH:
        problems.append(_bad_value(b"Alarm", value))
    return _SWITCH.get(value)


def _bad_value(label: bytes, value: bytes) -> Problem:
    return problem("bad_value", f"{label.decode()} is {quoted(value)}")
