"""Frequencies between text in megahertz and whole hertz, with no float in between."""

from __future__ import annotations

import re

_MEGAHERTZ = re.compile(r"([0-9]{1,7})(?:\.([0-9]{1,6})0*)?")
_HINT = "write megahertz with a point, such as 145.25"
MOST_HERTZ = 10**13 - 1
"""Seven digits of megahertz; a line of the journal must be able to hold it."""


class FrequencyError(ValueError):
    """The text is not a frequency in megahertz."""


def read_megahertz(text: str) -> int:
    """Return a frequency in hertz from its text in MHz, such as `146.52`; exact to the hertz.

    Takes up to seven digits before the point and six after it: at most `MOST_HERTZ`. Raises FrequencyError for
    anything else and for zero.
    """
    found = _MEGAHERTZ.fullmatch(text.strip())
    if found is None:
        raise FrequencyError(f"{text.strip()[:20]!a} is not a frequency: {_HINT}")
    whole, fraction = found[1], found[2] or ""
    hertz = int(whole) * 1_000_000 + int(fraction.ljust(6, "0"))
    if hertz == 0:
        raise FrequencyError(f"a frequency of zero means nothing: {_HINT}")
    return hertz


def format_megahertz(hertz: int) -> str:
    """Return a frequency or a shift in MHz with at least three decimals and no needless zeros after them."""
    whole, fraction = divmod(abs(hertz), 1_000_000)
    decimals = f"{fraction:06d}".rstrip("0").ljust(3, "0")
    return f"{'-' if hertz < 0 else ''}{whole}.{decimals}"
