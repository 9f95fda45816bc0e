"""What was planned before the session, so that it can be compared with what came."""

from __future__ import annotations

from fieldtui.journal.event_types import Event, Text


class KitTicked(Event, frozen=True, kw_only=True):
    """A thing of the check list was packed, or taken out again."""

    item: Text
    packed: bool = True


PLAN_KINDS: dict[str, type[Event]] = {"kit-ticked": KitTicked}
