"""What would be new about the contact that is typed, once every earlier journal was read."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from fieldtui.session.newness import Earlier, Traits, news_words, square_of

if TYPE_CHECKING:
    from fieldtui.entry.lines import ContactLine
    from fieldtui.live.past_calls import Answer
    from fieldtui.session.state import SessionState


def typed_news(
    line: ContactLine, state: SessionState, past: Answer, knows_square: Callable[[str], bool | None]
) -> str:
    """Say what is new: station, square, band. Empty while that is not known, and for a call that was half heard."""
    if not past.complete or "?" in line.call:
        return ""
    from fieldtui.radio.bands import band_of  # noqa: PLC0415  (see `later`)
    from fieldtui.radio.callsign import read_call  # noqa: PLC0415

    sends = state.tuning.transmit_hertz or state.tuning.hertz if line.hertz is None else line.hertz
    band = band_of(sends or 0)
    now = Traits(read_call(line.call).core, band.name if band else None, square_of(line.locator))
    # A square that was not looked up yet counts as known: nothing is called new that may not be.
    known_square = now.square is not None and knows_square(now.square) is not False
    earlier = Earlier(
        frozenset([now.core] if past.offer else []),
        frozenset((now.core, name) for name in past.bands),
        frozenset([now.square] if known_square and now.square else []),
    )
    return news_words(now, state.contacts.standing(), earlier)
