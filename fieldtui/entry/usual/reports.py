"""Reports as people write them: 59/57, 5x9 5x7, s59 r57, five nine, 59 plus 10.

Two figures with a sign between may be two reports, a frequency in MHz or a time. It is taken only where nothing else is
possible, and asked about otherwise: `question_of_figures`.
"""

from __future__ import annotations

import re

from fieldtui.entry.usual.spoken import DIGITS, TENS, any_of
from fieldtui.entry.usual.taken import Beside, Taken, hertz_of, in_a_band, ordered, rule

RST = r"(?:[2-5][1-9](?:[1-9n]|[asm])?(?:\+(?:[0-9]{1,2}(?:db)?)?)?|5nn)"
"""A report that somebody gives: nobody logs what had readability 1."""
_DECIBELS = r"[+-][0-9]{1,2}"
_BETWEEN = r"\s?[/&;|]\s?|-|\s?\+\s(?=[2-5])|x(?=[2-5][1-9])"

_PAIR = rule(rf"({RST})(?:{_BETWEEN})({RST})")
_DECIBEL_PAIR = rule(rf"({_DECIBELS})\s?[/;&]\s?({_DECIBELS})")
_BROKEN = rule(r"([2-5])\s?(?:x|/|-|&|\sby\s|by|\sund\s|\sand\s|\sy\s)\s?([1-9n])([1-9n])?")
_BLANKS = rule(r"([2-5]) ([1-9]) ([2-5]) ([1-9])")
_TWO_BLANKS = rule(r"([2-5]) ([1-9])(?= )")
_SENT = rule(rf"(?:s|tx|snt|sent|gave|his|ur|ure)[: ]?(?:rst? |rs )?({RST}|{_DECIBELS})")
_RECEIVED = rule(rf"(?:r|rx|rcv|rcvd|received|recd|got|my)[: ]?(?:rst? |rs )?({RST}|{_DECIBELS})")
_STRENGTH = rule(r"s([1-9])(?:\s?\+\s?([0-9]{1,2})(?:\s?db)?)?")
_PLUS = rule(r"([2-5]9)\s?(?:plus|\+)(?:\s?([1-6]0|5)(?:\s?db)?)?")
_DIGIT = any_of(DIGITS)
_SPOKEN = rule(
    rf"({_DIGIT})(?:\s+by\s+|\s+und\s+|\s+and\s+|\s+y\s+|\s+|-)({_DIGIT})(?:(?:\s+|-)({_DIGIT})(?=\s*(?:$|,|{_DIGIT})))?"
)
_TENS = rule(rf"({any_of(TENS)})(?:\s+|-|\s+y\s+)({_DIGIT})")
_UND = rule(rf"({_DIGIT})und({any_of(TENS)})")
_POINT = re.compile(r"([0-9]{1,2})[.,]([0-9]{1,2})(?![0-9.])" + r"(?![^\s,;、])")


def role_pair(rest: str, beside: Beside) -> Taken | None:
    """`59/57`, `599-579`, `-12/-8`: two reports with a sign between."""
    if found := _PAIR.match(rest) or _DECIBEL_PAIR.match(rest):
        return None if beside.reports else Taken(found.end(), f"{found[1]} {found[2]}")
    return None


def said_apart(rest: str, _: Beside) -> Taken | None:
    """`5x9`, `5/9`, `5 by 9`, `5 9 5 7`: a report whose figures stand apart."""
    if found := _BROKEN.match(rest):
        return Taken(found.end(), f"{found[1]}{found[2]}{found[3] or ''}")
    if found := _BLANKS.match(rest):
        return Taken(found.end(), f"{found[1]}{found[2]} {found[3]}{found[4]}")
    if found := _TWO_BLANKS.match(rest):
        return Taken(found.end(), f"{found[1]}{found[2]}")
    return None


def with_role(rest: str, _: Beside) -> Taken | None:
    """`s59 r57`, `tx 59 rx 57`, `my 57`: which is which; the line itself marks what was received with an r."""
    if found := _SENT.match(rest):
        return Taken(found.end(), f"s{found[1]}" if found[1][0] not in "+-" else found[1])
    if found := _RECEIVED.match(rest):
        return Taken(found.end(), f"r{found[1]}")
    return None


def strength(rest: str, _: Beside) -> Taken | None:
    """`s9`, `s9+20`: how strong, with nothing said of readability."""
    found = _STRENGTH.match(rest)
    if found is None:
        return None
    usual = f"5{found[1]}" + (f"+{found[2]}" if found[2] else "")
    return Taken(found.end(), usual, remark=f"{found[0]} was taken as {usual}")


def plus(rest: str, _: Beside) -> Taken | None:
    """`59plus`, `59 plus 20 db`, `59 + 10`."""
    found = _PLUS.match(rest)
    return Taken(found.end(), f"{found[1]}+{found[2] or ''}") if found else None


def spoken(rest: str, _: Beside) -> Taken | None:
    """`five nine`, `fifty nine`, `neunundfünfzig`, `cinco nueve`."""
    if found := _TENS.match(rest):
        return _if_given(found.end(), TENS[found[1].lower()] + DIGITS[found[2].lower()])
    if found := _UND.match(rest):
        return _if_given(found.end(), TENS[found[2].lower()] + DIGITS[found[1].lower()])
    if found := _SPOKEN.match(rest):
        digits = [DIGITS[word.lower()] for word in found.groups() if word]
        following = _SPOKEN.match(rest[found.end() :].lstrip(" ,"))
        if len(digits) == 3 and not following:
            second = _SPOKEN.match(rest[: found.end(2)])
            return _if_given(found.end(2) if second else found.end(), "".join(digits[:2]))
        return _if_given(found.end(), "".join(digits))
    return None


def _if_given(length: int, report: str) -> Taken | None:
    return Taken(length, report) if re.fullmatch(RST, report) else None


def figures_with_a_point(rest: str, beside: Beside) -> Taken | None:
    """`21.15`, `59.57`, `5,9`: a time, two reports, one report, or a frequency; taken if it can be but one of them."""
    found = _POINT.match(rest)
    if found is None:
        return None
    before, after = found.groups()
    readings = ordered(_readings(before, after, beside), beside.now)
    if not readings:
        return None
    if len(readings) == 1:
        (what, usual) = readings[0]
        remark = f"{found[0]} was taken as a time, UTC" if what == "a time" else ""
        return Taken(found.end(), usual, remark=remark)
    listed = ", ".join(f"as {what} write {usual}" for what, usual in readings)
    return Taken(
        found.end(), found[0], question=f"{found[0]} could be two things: {listed}", likely=readings[0][1]
    )


def _readings(before: str, after: str, beside: Beside) -> list[tuple[str, str]]:
    found = []
    if len(before) == len(after) == 2 and not beside.time and int(before) < 24 and int(after) < 60:
        found.append(("a time", f"{before}{after}z"))
    if not beside.reports and re.fullmatch(RST, before) and re.fullmatch(RST, after):
        found.append(("two reports", f"{before} {after}"))
    if beside.reports < 2 and len(before) == len(after) == 1 and re.fullmatch(RST, before + after):
        found.append(("a report", before + after))
    hertz = hertz_of(f"{before}.{after}")
    if not beside.frequency and in_a_band(hertz):
        found.append(("a frequency", f"{before}.{after.ljust(3, '0')}"))
    return found


RULES = (role_pair, figures_with_a_point, plus, said_apart, with_role, strength, spoken)
