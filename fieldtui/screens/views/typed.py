"""What stands in the entry line, as it is understood at this moment, for drawing."""

from __future__ import annotations

from msgspec import Struct

from fieldtui.entry.lines import Line
from fieldtui.live.past_calls import Answer
from fieldtui.session.channel_choice import ChannelChoice


class Typed(Struct, frozen=True):
    """A line, and what is known beside it."""

    line: Line
    past: Answer = Answer()
    """What earlier journals tell of its call."""
    choosing: bool = False
    """Whether the plan is shown, and the line chooses from it."""
    choice: ChannelChoice | None = None
    """The channels to choose from, while the plan is shown."""
    news: str = ""
    """What would be new about the contact: station, square, band."""
