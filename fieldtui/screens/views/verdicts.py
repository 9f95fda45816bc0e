"""What the law of the place says about the tuned frequency, in a few words. Advice, never a block."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from fieldtui.session.law import law_now
from fieldtui.session.state import SessionState

if TYPE_CHECKING:
    from fieldtui.radio.channels.plan import Channel


NOT_GIVEN = "licence not given: not checked"
NOT_KNOWN = "licence not checked"
"""Of a country whose licences are in no table here."""


def verdict_words(state: SessionState, licence: str | None) -> str:
    """`allowed`, `not for this licence: WHY`, `outside the bands of ...`, or that the licence was not checked.

    What is sent counts, so a repeater's input frequency, not its output. Empty while nothing is tuned.
    """
    hertz = state.tuning.transmit_hertz or state.tuning.hertz
    return _words(state, hertz, state.tuning.mode, licence)


def channel_words(channel: Channel, state: SessionState, licence: str | None) -> str:
    """What is to be said against a channel of the plan; nothing if nothing is."""
    words = _words(state, channel.transmit_hertz, channel.mode, licence)
    return "" if words in ("allowed", NOT_GIVEN, NOT_KNOWN) else words


def _words(state: SessionState, hertz: int | None, mode: str | None, licence: str | None) -> str:
    if hertz is None:
        return ""
    from fieldtui.radio.where.bands import band_problem  # noqa: PLC0415  (see `later`)

    law = law_now(state)
    problem = band_problem(hertz, mode, law.region, law.area.code if law.area else None)
    if problem and (licence is None or not law.under_us_rules or "every band" in problem):
        return problem
    if not law.under_us_rules:
        return NOT_KNOWN
    if licence is None or law.region is None:
        return NOT_GIVEN if licence is None else NOT_KNOWN
    # Without a mode no emission can be judged: the line says so elsewhere.
    return _verdict(hertz, mode, licence, law.region, state.place.locator) if mode else ""


@lru_cache(maxsize=512)
def _verdict(hertz: int, mode: str, licence: str, region: int, locator: str | None) -> str:
    from fieldtui.radio.locator import cell_of  # noqa: PLC0415  (see `later`)
    from fieldtui.radio.us.privileges import check_allowed  # noqa: PLC0415

    try:
        verdict = check_allowed(hertz, mode, licence=licence, region=region, cell=cell_of(locator))
    except ValueError:
        return ""
    if verdict.allowed is None:
        return f"depends: {verdict.why}"
    return "allowed" if verdict.allowed else f"not for this licence: {verdict.why}"
