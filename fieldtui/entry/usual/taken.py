"""What a rule makes of the words at the head of a text, and what else stands in the line."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import datetime

from msgspec import Struct

from fieldtui.entry.findings import EntryError
from fieldtui.entry.times import read_time
from fieldtui.radio.bands import band_of

Rule = Callable[[str, "Beside"], "Taken | None"]
"""From the rest of a line to what its first words mean; None where the rule does not know them."""


class Taken(Struct, frozen=True):
    """The first `length` characters, and how they are usually written.

    `remark` says how something was understood that could be meant otherwise. `question` says that it was not
    understood, since it could be two things; `likely` is then the more likely one of them, in the usual writing.
    """

    length: int
    usual: str
    remark: str = ""
    question: str = ""
    likely: str = ""


class Beside(Struct, frozen=True):
    """What stands in the line without any doubt: it takes a reading away from what could be two things."""

    reports: int = 0
    time: bool = False
    frequency: bool = False
    now: datetime | None = None
    """The moment of typing: a time of day that is not possible now is the less likely reading."""


def ordered(readings: list[tuple[str, str]], now: datetime | None) -> list[tuple[str, str]]:
    """Readings of one word, as what and in which writing, the likeliest first."""

    def unlikely(reading: tuple[str, str]) -> bool:
        if reading[0] != "a time" or now is None:
            return False
        try:
            read_time(reading[1], now)
        except EntryError:
            return True
        return False

    return sorted(readings, key=unlikely)


END = r"(?![^\s,;、])"
"""A word ends here."""

UNIT_GAP = r"[ \t]{0,2}"


def rule(pattern: str) -> re.Pattern[str]:
    """A pattern for the head of a text, up to the end of a word, in either case."""
    return re.compile(f"(?:{pattern}){END}", re.IGNORECASE)


_HARDLY_ANYWHERE = frozenset({"8m", "5m"})
"""Bands that few administrations give to few stations: figures there are more likely a pair of reports."""


def in_a_band(hertz: int) -> bool:
    """Whether a frequency lies in an amateur band in which somebody may be expected."""
    band = band_of(hertz)
    return band is not None and band.name not in _HARDLY_ANYWHERE


def hertz_of(megahertz: str) -> int:
    """Whole hertz of a number of MHz in figures, such as `146.52`."""
    whole, _, part = megahertz.partition(".")
    return int(whole or 0) * 1_000_000 + int(part[:6].ljust(6, "0") or 0)


def megahertz_words(hertz: int) -> str:
    """Hertz as MHz with a point, which the line always takes for a frequency: `446.0`, `146.52`."""
    whole, part = divmod(hertz, 1_000_000)
    return f"{whole}.{f'{part:06d}'.rstrip('0') or '0'}"
