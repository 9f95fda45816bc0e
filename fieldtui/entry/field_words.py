"""The fields of a contact and their values in the words of a person, wherever a correction is told."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from fieldtui.entry.payloads import Field
from fieldtui.radio.frequency import format_megahertz

if TYPE_CHECKING:
    from fieldtui.entry.payloads import FixValue, Which

NOTHING = "not given"
_BY_KEY = {field.key: field for field in Field}


def which_words(number: Which) -> str:
    """Return the numbers as typed, such as `3-15,20`; a word or a call as it is."""
    if not isinstance(number, tuple):
        return str(number)
    return ",".join(str(first) if first == last else f"{first}-{last}" for first, last in number)


def value_words(field: Field, value: FixValue) -> str:
    """Return a value with its unit, and words where there is none."""
    if field is Field.CARD:
        return "promised" if value else "not promised"
    if value in (None, ""):
        return NOTHING
    match field, value:
        case Field.MHZ, int():
            return f"{format_megahertz(value)} MHz"
        case Field.WATTS, int() | float():
            return f"{value:.10g} W"
        case _, datetime():
            return f"{value:%Y-%m-%d %H:%M} UTC"
        case _:
            return str(value)


def was_words(key: str, value: FixValue) -> str:
    """Return what a field of this key in the journal was before a correction: `frequency was 446.000 MHz`."""
    field = _BY_KEY[key]
    return f"{field.words} was {value_words(field, value)}"
