"""An over that stands only by the operator's mark: the wrong key in gloves counts as a transmission for hours."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from fieldtui.screens.draw.text import shown
from fieldtui.session.identification.demands import span_words
from fieldtui.session.state import SessionState

if TYPE_CHECKING:
    from fieldtui.live.battery import Latest
    from fieldtui.screens.views.seen import Seen

SHUNT_SEES_SECONDS = 15.0
"""The current tells of a carrier some seconds late; after that its silence says something (own choice)."""
FRESH_SECONDS = 5.0


class MarkedOver(Struct, frozen=True):
    """How long it stands, and what speaks against it."""

    seconds: float
    long: bool
    """Longer than an over should be: it is not believed any more, and rung for."""
    unseen: bool
    """A shunt is read, and says that nothing is sent."""

    @property
    def doubtful(self) -> bool:
        """Whether the operator should look at it."""
        return self.long or self.unseen

    def words(self, key: str) -> str:
        """For the message line; `key` ends the over."""
        against = ", but the shunt sees nothing sent" if self.unseen else ""
        return f"sending for {span_words(self.seconds)} by your mark{against}: {shown(key)} ends it"

    def reason(self, key: str) -> str:
        """For the few cells of the pane."""
        return f"by mark: {shown(key)} ends it"


def marked_over(
    state: SessionState, now: float, latest: Latest | None, mono_seconds: float, *, long_over_seconds: float
) -> MarkedOver | None:
    """The over that was marked by hand and not ended, or None; `latest` is this screen's own shunt, if it has one."""
    since = state.identification.sending_since
    if since is None or state.identification.sending_source != "key":
        return None
    seconds = max(0.0, now - since)
    sample = latest.sample if latest else None
    read = sample is not None and mono_seconds - sample.mono_seconds < FRESH_SECONDS
    silent = latest is not None and read and not (latest.sending or latest.perhaps_sending)
    return MarkedOver(seconds, seconds >= long_over_seconds, silent and seconds >= SHUNT_SEES_SECONDS)


def marked_now(seen: Seen, long_over_seconds: float) -> MarkedOver | None:
    """The over that stands by the operator's mark at this moment, if there is one."""
    return marked_over(
        seen.state,
        seen.now,
        seen.latest,
        seen.stamp.mono_seconds,
        long_over_seconds=long_over_seconds,
    )
