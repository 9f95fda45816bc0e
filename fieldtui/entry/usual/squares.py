"""Locators as people write them: in cn94, @cn94, cn 94, cn 94 hb, grid cn94."""

from __future__ import annotations

from fieldtui.entry.usual.taken import Beside, Taken, rule
from fieldtui.radio.modes import read_mode

_SQUARE = r"([A-R]{2})\s?([0-9]{2})(?:\s?([A-X]{2})(?:\s?([0-9]{2}))?)?"
_LED = rule(rf"(?:(?:in|from|aus|grid|grid\s+square|locator|loc|gl|square|qth\s+loc)[: ]\s?|@\s?){_SQUARE}")
_BLANK = rule(r"([A-R]{2}) ([0-9]{2})(?: ([A-X]{2}))?(?=\s|,|;|$)")


def locator(rest: str, beside: Beside) -> Taken | None:
    """With a word before it, or with a blank inside."""
    found = _LED.match(rest)
    if found:
        return Taken(found.end(), "".join(part for part in found.groups() if part))
    found = _BLANK.match(rest)
    if found is None:
        return None
    # A word and a report, unless two other reports stand in the line.
    if read_mode(found[1]) or (
        found[2][0] in "2345" and found[2][1] != "0" and not found[3] and beside.reports < 3
    ):
        return None
    usual = "".join(part for part in found.groups() if part)
    return Taken(
        found.end(),
        usual,
        remark=f"{found[0]} was taken as the locator {usual.upper()[:4] + usual[4:].lower()}",
    )


RULES = (locator,)
