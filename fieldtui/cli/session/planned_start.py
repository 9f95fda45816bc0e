"""The plan that waits, for a session that begins now."""

from __future__ import annotations

from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from fieldtui.journal.event_types import Event
from fieldtui.journal.events import SessionOpened
from fieldtui.journal.folder import holds_nothing
from fieldtui.journal.plan_events import PlanMade
from fieldtui.journal.stamp import SystemClock
from fieldtui.journal.waiting_plan import waiting_events, waiting_path
from fieldtui.radio.outside_text import clean_text
from fieldtui.session.plan.fold import carried, fits


class Waiting(Struct, frozen=True):
    """What is taken into the journal when it is opened, from which file, and what to say of it."""

    events: tuple[Event, ...] = ()
    file: Path | None = None
    notice: str = ""

    def opening(self, usual: SessionOpened) -> SessionOpened:
        """The first line of the journal: the planned place is where the session is, until `here` says another."""
        made = next((event for event in self.events if isinstance(event, PlanMade)), None)
        if made is None or made.locator is None:
            return usual
        return replace(usual, place=made.place, locator=made.locator)


def waiting_plan(journal: Path) -> Waiting:
    """Give what waits for a session that begins in this journal now; one that goes on takes nothing.

    A plan for another day stays where it is, and is told of.
    """
    path = waiting_path()
    found = carried(waiting_events(path)) if holds_nothing(journal) else []
    if not found:
        return Waiting()
    made = next((event for event in found if isinstance(event, PlanMade)), None)
    day = clean_text(made.on, 10) if made else ""
    if not fits(found, SystemClock().now().at):
        return Waiting(notice=f"the plan that waits is for {day}: it is not taken")
    return Waiting(tuple(found), path, f"the plan for {day} is taken" if made else "")
