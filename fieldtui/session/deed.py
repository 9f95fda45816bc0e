"""A deed: the events that an order writes, and what is said of it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from msgspec import Struct
from msgspec.structs import replace

from fieldtui.journal.event_types import Act, Event, act_of
from fieldtui.journal.events import SessionOpened
from fieldtui.session.reasons import Reason, Remedy


class Deed(Struct, frozen=True):
    """Events to write and what to say once they are safe; or, without events, why not."""

    events: tuple[Event, ...] = ()
    said: str = ""
    refusal: Reason | None = None
    doubt: Reason | None = None
    """What is to be said against it although it is done."""

    def told(self, doubts: Iterable[str], remedies: Mapping[Remedy, str]) -> Deed:
        """The same deed, with what is to be said against it in its words: these doubts, then its own."""
        own = self.doubt.words(remedies) if self.doubt else ""
        return replace(self, said="  ! ".join(filter(None, (self.said, *doubts, own))), doubt=None)


def as_act(deed: Deed, new_id: Callable[[], str]) -> Deed:
    """The same deed, its events one act."""
    return replace(deed, events=one_act(deed.events, new_id))


def one_act(events: tuple[Event, ...], new_id: Callable[[], str]) -> tuple[Event, ...]:
    """The same events under one name, so that they can be taken back together.

    What opens a session is no act of its own.
    """
    acts = [event for event in events if isinstance(event, Act)]
    nameless = [event for event in acts if act_of(event) is None]
    if not nameless or any(isinstance(event, SessionOpened) for event in events):
        return events
    name = next(filter(None, map(act_of, acts)), None) or new_id()
    return tuple(
        replace(event, act=name) if isinstance(event, Act) and act_of(event) is None else event
        for event in events
    )
