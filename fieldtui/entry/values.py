"""Reads the value of a word whose shape is known, or says what to type instead."""

from __future__ import annotations

import re

from fieldtui.entry.findings import EntryError
from fieldtui.entry.shapes import comma_advice, is_comma_number
from fieldtui.entry.text import quote
from fieldtui.radio.bands import band_of
from fieldtui.radio.frequency import FrequencyError, format_megahertz, read_megahertz
from fieldtui.radio.locator import LocatorError, read_locator

MOST_WATTS = 100_000
MOST_VOLTS = 80

_NUMBER = re.compile(r"[0-9]{1,7}(?:\.[0-9]{0,9})?|\.[0-9]{1,9}")


def read_number(word: str, unit: str) -> float:
    """Return a plain decimal number, with or without the letter of its unit behind it.

    Raises EntryError for anything else, and names the point where a comma was typed.
    """
    bare = word.lower().removesuffix(unit)
    if is_comma_number(word):
        raise EntryError(comma_advice(word))
    if _NUMBER.fullmatch(bare) is None:
        raise EntryError(f"{quote(word)} is not a number: write one such as 12.85")
    return float(bare)


def read_watts(word: str) -> float:
    """Return a power in watts from `10w` or `10`; above 0 and at most 100,000."""
    watts = read_number(word, "w")
    if not 0 < watts <= MOST_WATTS:
        raise EntryError(f"{quote(word)}: power is more than 0 and at most {MOST_WATTS:,} watts")
    return watts


def read_volts(word: str) -> float:
    """Return a voltage in volts from `12.85` or `12.85v`; 0 to 80."""
    volts = read_number(word, "v")
    if volts > MOST_VOLTS:
        raise EntryError(f"{quote(word)}: a pack has 0 to {MOST_VOLTS} volts")
    return volts


def read_hertz(word: str) -> int:
    """Return a frequency in whole hertz from MHz such as `146.55` or `146.55mhz`."""
    if is_comma_number(word):
        raise EntryError(comma_advice(word))
    try:
        return read_megahertz(word.lower().removesuffix("mhz"))
    except FrequencyError as error:
        raise EntryError(str(error)) from None


def band_notice(hertz: int) -> str | None:
    """Return a remark when a frequency lies in no amateur band."""
    if band_of(hertz) is not None:
        return None
    return f"{format_megahertz(hertz)} MHz is outside every amateur band"


def read_whereabouts(word: str) -> str:
    """Return a locator as it is written, `CN94hb`."""
    try:
        return read_locator(word).locator
    except LocatorError as error:
        raise EntryError(str(error)) from None


def locator_notice(locator: str | None) -> str | None:
    """Return a remark on a locator that is also how data contacts are ended: roger, and 73 (common practice)."""
    if locator != "RR73":
        return None
    return "RR73 was taken as their locator: if it ended the contact, leave it out"
