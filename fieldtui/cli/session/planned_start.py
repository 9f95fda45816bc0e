"""The plan that waits, for a session that begins now."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from fieldtui.journal.event_types import Event
from fieldtui.journal.events import SessionOpened
from fieldtui.journal.file import Journal
from fieldtui.journal.folder import holds_nothing
from fieldtui.journal.line import read_event
from fieldtui.journal.plan_events import PLAN_KINDS, PlanMade
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


def _lost_its_plan(journal: Path, plan: Path) -> bool:
    if not (plan.is_file() and journal.is_file()):
        return False
    made, opened = _first_at(plan), _first_at(journal)
    if made is None or opened is None or made > opened:
        return False
    taken = _planned_in(journal)
    return any(event not in taken for event in carried(waiting_events(plan)))


def _planned_in(path: Path) -> list[Event]:
    """What a journal holds of a plan, and nothing else of it: it may be long."""
    with Journal(path, writable=False) as journal:
        lines = (envelope for batch in journal.follow() for envelope in batch.envelopes)
        found = (read_event(envelope) for envelope in lines if envelope.kind in PLAN_KINDS)
        return [event for event in found if event is not None]


def _first_at(path: Path) -> datetime | None:
    try:
        with Journal(path, writable=False) as journal:
            first = next((envelope for batch in journal.follow() for envelope in batch.envelopes), None)
    except OSError:
        return None
    return first.at if first else None


def waiting_plan(journal: Path) -> Waiting:
    """Give what waits for a session that begins in this journal now; one that goes on takes nothing.

    But for one that began after the plan was made, and has no plan: a power cut in its first moment took the lines
    of the plan, which is removed only when they are safe. A plan for another day stays where it is, and is told of.
    """
    path = waiting_path()
    found = carried(waiting_events(path)) if holds_nothing(journal) or _lost_its_plan(journal, path) else []
    if not found:
        return Waiting()
    made = next((event for event in found if isinstance(event, PlanMade)), None)
    day = clean_text(made.on, 10) if made else ""
    if not fits(found, SystemClock().now().at):
        return Waiting(notice=f"the plan that waits is for {day}: it is not taken")
    return Waiting(tuple(found), path, f"the plan for {day} is taken" if made else "")
