"""The plan of the session, as the journal holds it, and which waiting plan belongs to a session that begins."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta

from msgspec import Struct, field
from msgspec.structs import replace

from fieldtui.journal.event_types import Event
from fieldtui.journal.plan_events import KitTicked, PathPlanned, PlanMade
from fieldtui.radio.outside_text import clean_text
from fieldtui.session.kit import LONGEST_ITEM

MOST_PATHS = 50
BESIDE = timedelta(hours=18)
"""A session that begins this long before or after the planned time is still the planned one."""


class PlanFold(Struct):
    """The latest plan and its paths; None until one was made."""

    made: PlanMade | None = None
    paths: tuple[PathPlanned, ...] = field(default=())

    def on_made(self, event: PlanMade) -> None:
        """A plan, which takes the place of an earlier one."""
        self.made, self.paths = event, ()

    def on_path(self, event: PathPlanned) -> None:
        """One way of the plan before it."""
        if self.made is not None and len(self.paths) < MOST_PATHS:
            self.paths = (*self.paths, event)

    @property
    def begins_at(self) -> datetime | None:
        """When the station was to be on the air."""
        return time_of(self.made.begins_at) if self.made else None

    @property
    def hours(self) -> float | None:
        """How long it was to be there."""
        begins = self.begins_at
        ends = time_of(self.made.ends_at) if self.made else None
        return None if begins is None or ends is None else max(0.0, (ends - begins) / timedelta(hours=1))


def time_of(text: str | None) -> datetime | None:
    """A time of a plan, in UTC; None for what is none."""
    try:
        at = datetime.fromisoformat(text or "")
        return at.replace(tzinfo=UTC) if at.tzinfo is None else at.astimezone(UTC)
    except (ValueError, OverflowError):
        return None


def carried(events: Sequence[Event]) -> list[Event]:
    """What of a waiting plan goes into the journal: the last plan, its paths, and each thing's last tick."""
    plan = PlanFold()
    ticks: dict[str, KitTicked] = {}
    for event in events:
        match event:
            case PlanMade():
                # Its own list follows it, with what was ticked before.
                ticks.clear()
                plan.on_made(event)
            case PathPlanned():
                plan.on_path(event)
            case KitTicked():
                item = clean_text(event.item, LONGEST_ITEM)
                key = item.casefold()
                # A thing keeps the place and the spelling in which it was first named.
                ticks[key] = replace(ticks.get(key, event), packed=event.packed)
    return [*([plan.made] if plan.made else []), *plan.paths, *ticks.values()]


def fits(events: Sequence[Event], now: datetime) -> bool:
    """Whether what waits is for a session that begins now.

    A clock that stands before the hour in which the plan was made is wrong, and proves nothing.
    """
    made = next((event for event in reversed(events) if isinstance(event, PlanMade)), None)
    if made is None:
        return True
    begins, ends, written = time_of(made.begins_at), time_of(made.ends_at), time_of(made.made_at)
    if begins is None or ends is None or (written is not None and now < written):
        return True
    return begins - BESIDE <= now <= ends + BESIDE
