"""The session at one moment: all that drawing, ringing and pages look at, and nothing that they could change by it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from msgspec import Struct

from fieldtui.journal.stamp import Stamp
from fieldtui.session.state import SessionState

if TYPE_CHECKING:
    from fieldtui.feeds.states import FeedState
    from fieldtui.live.battery import Latest
    from fieldtui.session.recording.position import PositionSample


class Seen(Struct, frozen=True):
    """What the journal says, the moment it is looked at, and what the feeds of this screen say beside it."""

    state: SessionState
    stamp: Stamp
    ready: bool = True
    """Whether the journal was read to its end."""
    demo: bool = False
    """Whether everything in it is invented."""
    latest: Latest | None = None
    """The newest battery reading of this screen's own feed."""
    position: PositionSample | None = None
    """That of its own position receiver."""
    feeds: Sequence[tuple[str, FeedState]] = ()
    """How each of its feeds is doing, by its name in the journal."""
    alarm_repeats: int = 0
    """How often an ignored alarm was said again."""

    @property
    def now(self) -> float:
        """The moment in session seconds."""
        return self.state.now(self.stamp)
