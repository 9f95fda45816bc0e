"""What the law of the place says about the tuned frequency, in a few words. Advice, never a block."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from fieldtui.session.state import SessionState

if TYPE_CHECKING:
    from fieldtui.radio.channels.plan import Channel


def verdict_words(state: SessionState, licence: str | None, region: int) -> str:
    """`allowed`, `not for this licence: WHY`, `outside every band`; nothing where it cannot be told.

    What is sent counts, so a repeater's input frequency, not its output.
    """
    hertz = state.tuning.transmit_hertz or state.tuning.hertz
    return _words(state, hertz, state.tuning.mode, licence, region)


def channel_words(channel: Channel, state: SessionState, licence: str | None, region: int) -> str:
    """What is to be said against a channel of the plan; nothing if nothing is."""
    words = _words(state, channel.transmit_hertz, channel.mode, licence, region)
    return "" if words == "allowed" else words


def _words(state: SessionState, hertz: int | None, mode: str | None, licence: str | None, region: int) -> str:
    if hertz is None:
        return ""
    from fieldtui.radio.bands import band_of  # noqa: PLC0415  (see `later`)

    if band_of(hertz) is None:
        return "outside every band"
    if licence is None or mode is None or not _under_us_rules(state):
        return ""
    return _verdict(hertz, mode, licence, region, state.place.locator)


def _under_us_rules(state: SessionState) -> bool:
    return state.opened is None or state.opened.rule in ("us", "own")


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
