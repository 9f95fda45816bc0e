"""Times as people write them: 18:42z, 1842utc, 18h42, 5 min ago, vor 5 Minuten, hace 5 minutos."""

from __future__ import annotations

import re

from fieldtui.entry.usual.spoken import AMOUNTS, any_of
from fieldtui.entry.usual.taken import Beside, Taken, hertz_of, in_a_band, megahertz_words, ordered, rule

_UTC = r"z|utc|ut|gmt|zulu"
_HABIT = r"uhr|h|hrs|hours"
"""Words behind a time that do not say whose time it is."""
_LEAD = r"(?:at\s+|@\s?|um\s+|a\s+las\s+)?"
_CLOCK = rule(rf"{_LEAD}([0-9]{{1,2}})\s?[:h]\s?([0-9]{{2}})\s?({_UTC}|{_HABIT})?")
_POINT = rule(rf"{_LEAD}([0-9]{{1,2}})\.([0-9]{{2}})\s?({_UTC}|{_HABIT})")
_FIGURES = rule(rf"{_LEAD}([0-9]{{2}})([0-9]{{2}})\s?({_UTC}|{_HABIT})")
_LED = rule(r"(?:at|um|a\s+las)\s+([0-9]{2})([0-9]{2})")
_BARE = rule(r"([0-9]{2})([0-9]{2})")
_LOCAL = rule(r"[0-9]{2}:?[0-9]{2}\s?(?:j|local|lt|loc)")
_MINUTES = r"m|min|mins|minuten?|minutes?|minutos?"
_HOURS = r"h|hr|hrs|hours?|stunden?|horas?"
_AMOUNT = rf"[0-9]{{1,3}}|{any_of(AMOUNTS)}"
_AGO = rule(rf"(?:about\s+)?({_AMOUNT})\s?(?:({_MINUTES})|({_HOURS}))\s+(?:ago|back|earlier)")
_BACK = rule(rf"(?:vor|hace)\s+({_AMOUNT})\s?(?:({_MINUTES})|({_HOURS}))")


def clock(rest: str, _: Beside) -> Taken | None:
    """`18:42`, `18h42`, `18.42 Uhr`, `1842utc`: hour and minute, with what says UTC or without."""
    found = _CLOCK.match(rest) or _POINT.match(rest) or _FIGURES.match(rest) or _LED.match(rest)
    if found is None:
        return None
    hour, minute, unit = found[1], found[2], found[3] if found.re is not _LED else ""
    if found.re is _FIGURES and unit in ("z", "Z"):
        return Taken(found.end(), f"{hour}{minute}z")
    usual = f"{int(hour):02d}{minute}z"
    surely = unit is not None and re.fullmatch(_UTC, unit, re.IGNORECASE)
    return Taken(found.end(), usual, remark="" if surely else f"{found[0]} was taken as UTC, {usual}")


def local(rest: str, _: Beside) -> Taken | None:
    """`1842J`, `18:42 local`: the program keeps UTC, and does not guess a zone."""
    found = _LOCAL.match(rest)
    if found is None:
        return None
    return Taken(
        found.end(), "", question=f"{found[0]} is local time: write it in UTC, such as 1842z, or as -5m"
    )


def ago(rest: str, _: Beside) -> Taken | None:
    """`5 min ago`, `an hour ago`, `half an hour ago`, `vor 5 Minuten`, `hace 5 minutos`."""
    found = _AGO.match(rest) or _BACK.match(rest)
    if found is None:
        return None
    amount = " ".join(found[1].lower().split())
    number = int(amount) if amount.isdecimal() else AMOUNTS[amount]
    if found[3]:
        number = 30 if amount == "half an" else 60 * number
    return Taken(found.end(), f"-{number}m") if number else None


def four_figures(rest: str, beside: Beside) -> Taken | None:
    """`1842`, `5957`: a time, two reports, or kHz; asked about where more than one of them is possible."""
    found = _BARE.match(rest)
    if found is None:
        return None
    hour, minute = found.groups()
    word = found[0]
    readings = []
    if int(hour) < 24 and int(minute) < 60 and not beside.time:
        readings.append(("a time", f"{word}z"))
    if re.fullmatch(r"[2-5][1-9]", hour) and re.fullmatch(r"[2-5][1-9]", minute) and not beside.reports:
        readings.append(("two reports", f"{hour} {minute}"))
    kilohertz = int(word) * 1000
    if in_a_band(kilohertz) and not beside.frequency:
        readings.append(("a frequency", f"{kilohertz // 1_000_000}.{kilohertz % 1_000_000 // 1000:03d}"))
    if not readings:
        return None
    if len(readings) == 1:
        what, usual = readings[0]
        return Taken(len(word), usual, remark=f"{word} was taken as {what}, {usual}")
    readings = ordered(readings, beside.now)
    listed = ", ".join(f"as {what} write {usual}" for what, usual in readings)
    return Taken(len(word), word, question=f"{word} alone is not clear: {listed}", likely=readings[0][1])


def figures(rest: str, beside: Beside) -> Taken | None:
    """`14652`, `146520`, `433500`: a frequency without its point, where but one reading lies in a band."""
    found = _LONG.match(rest)
    if found is None or beside.frequency:
        return None
    digits = found[0]
    read = {hertz_of(f"{digits[:cut]}.{digits[cut:]}") for cut in (2, 3, 4) if cut < len(digits)}
    read.add(int(digits) * 1000)
    possible = sorted(hertz for hertz in read if in_a_band(hertz))
    if len(possible) == 1:
        usual = megahertz_words(possible[0])
        return Taken(found.end(), usual, remark=f"{digits} was taken as {usual} MHz")
    if possible:
        listed = " or ".join(map(megahertz_words, possible))
        return Taken(found.end(), digits, question=f"{digits} could be {listed}: write it with a point")
    return None


_LONG = rule(r"[0-9]{5,6}")

RULES = (clock, local, ago, four_figures, figures)
