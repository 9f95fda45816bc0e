"""Frequency, mode and power as people write them: 146,52, 146.520 MHz, 146520khz, on 446.0, 5 watts, 100mw, nbfm."""

from __future__ import annotations

import re

from fieldtui.entry.usual.reports import RST
from fieldtui.entry.usual.spoken import AMOUNTS, any_of
from fieldtui.entry.usual.taken import Beside, Taken, megahertz_words, rule

_LEAD = r"(?:on\s+|qrg\s+|freq(?:uency)?\s+|auf\s+|en\s+)?"
_NUMBER = r"[0-9]{1,7}(?:[.,][0-9]{1,9})?"
_MEGAHERTZ = rule(rf"{_LEAD}({_NUMBER})\s?(mhz|megahertz|mc|ghz|khz|kc|kilohertz)")
_LED = rule(r"(?:on|qrg|freq(?:uency)?|auf|en)\s+([0-9]{1,6}[.,][0-9]{1,9})")
_COMMA = rule(r"([0-9]{3,6}),([0-9]{1,9})")
"""Three figures before the comma: no report has so many, and no time."""
_SMALL_COMMA = rule(r"([0-9]{2}),([0-9]{3,6})")
_THOUSANDS = {"g": 1000, "m": 1, "k": 0}

_WATTS = rule(
    r"(?:with\s+|running\s+|mit\s+|con\s+|pwr\s+|power\s+)?([0-9]{1,6}(?:[.,][0-9]{1,6})?|[.,][0-9]{1,6})"
    r"(\s?)(w|watts?|vatios?|mw|milliwatts?|kw|kilowatts?)"
)
_MODES = {
    "nbfm": "nfm", "narrow fm": "nfm", "upper sideband": "usb", "lower sideband": "lsb", "upper side band": "usb",
    "lower side band": "lsb", "sideband": "ssb", "side band": "ssb", "telegraphy": "cw", "telegrafie": "cw",
    "telegrafía": "cw", "packet radio": "packet", "dstar": "d-star",
}  # fmt: skip
_MODE = rule(
    "(?:mode\\s+|in\\s+|on\\s+)?("
    + "|".join(word.replace(" ", r"\s+") for word in sorted(_MODES, key=len, reverse=True))
    + ")"
)


def frequency(rest: str, _: Beside) -> Taken | None:
    """With a unit or a word that says so, in MHz, kHz or GHz."""
    if found := _MEGAHERTZ.match(rest):
        return Taken(found.end(), _as_megahertz(found[1], found[2][0].lower()))
    if found := _LED.match(rest):
        return Taken(found.end(), _padded(found[1].replace(",", ".")))
    return None


def comma(rest: str, beside: Beside) -> Taken | None:
    """`146,52`, `50,125`: a comma where others write a point."""
    found = _COMMA.match(rest) or _SMALL_COMMA.match(rest)
    if found is None or beside.frequency:
        return None
    return Taken(found.end(), _padded(f"{found[1]}.{found[2]}"))


def _as_megahertz(number: str, unit: str) -> str:
    plain = number.replace(",", ".")
    if unit == "m":
        return _padded(plain if "." in plain else f"{plain}.0")
    whole, _, part = plain.partition(".")
    if unit == "g":
        return _padded(megahertz_words(int(whole) * 1_000_000_000 + int(part[:9].ljust(9, "0") or 0)))
    return _padded(megahertz_words(int(whole) * 1000 + int(part[:3].ljust(3, "0") or 0)))


def _padded(megahertz: str) -> str:
    """With three figures behind the point, so that it is nothing but a frequency."""
    whole, _, part = megahertz.partition(".")
    return f"{whole}.{part.ljust(3, '0')}"


_SPOKEN_WATTS = rule(rf"({any_of(AMOUNTS)})\s+(?:watts?|vatios?)")


def power(rest: str, beside: Beside) -> Taken | None:
    """With its unit, with or without a blank: `5 W`, `5 watts`, `100mw`, `2,5w`, `five watts`."""
    if (spoken := _SPOKEN_WATTS.match(rest)) and (watts := AMOUNTS[" ".join(spoken[1].lower().split())]):
        return Taken(spoken.end(), f"{watts}w")
    found = _WATTS.match(rest)
    if found is None:
        return None
    number, blank, unit = found[1].replace(",", "."), found[2], found[3].lower()
    usual = f"{_scaled(number, unit)}w"
    lone = unit == "w" and bool(blank) and bool(re.fullmatch(RST, found[1])) and found.start(1) == 0
    # The number itself was counted as a report.
    if lone and beside.reports <= 1:
        return Taken(
            found.end(), found[0], likely=usual,
            question=f"{found[0]} could be two things: as power write {usual}, as a report put a comma behind {number}",
        )  # fmt: skip
    return Taken(found.end(), usual)


def _scaled(number: str, unit: str) -> str:
    shift = {"m": -3, "k": 3}.get(unit[0], 0)
    if not shift:
        return number if not number.startswith(".") else f"0{number}"
    value = float(number) * 10.0**shift
    return f"{value:.6f}".rstrip("0").rstrip(".")


def mode(rest: str, _: Beside) -> Taken | None:
    """Other words for a mode."""
    if found := _MODE.match(rest):
        return Taken(found.end(), _MODES[" ".join(found[1].lower().split())])
    return None


FIRST_WORDS = frozenset({
    *(word.split()[0] for word in _MODES), "mode", "on", "qrg", "freq", "frequency", "auf", "en", "with", "running", "mit", "con",
    "pwr", "power",
})  # fmt: skip
"""The words with which a rule here may begin."""

RULES = (power, frequency, comma, mode)
