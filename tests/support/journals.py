"""What a journal holds, read as any other program would."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TypeVar

from fieldtui.journal.event_types import Event
from fieldtui.journal.file import Draft, Journal
from fieldtui.journal.line import Envelope, read_event
from fieldtui.journal.stamp import Clock
from fieldtui.journal.taken_back import as_written
from fieldtui.session.folding import folded as fold_batches
from fieldtui.session.state import SessionState

Kind = TypeVar("Kind", bound=Event)


def events_of(path: Path) -> list[Event]:
    """Every event, in file order, those too that were taken back."""
    envelopes: list[Envelope] = []
    with Journal(path, writable=False) as journal:
        for batch in journal.follow():
            if batch.restarted:
                envelopes.clear()
            envelopes += batch.envelopes
    return [event for envelope in envelopes if (event := read_event(as_written(envelope))) is not None]


def of_kind(path: Path, kind: type[Kind]) -> list[Kind]:
    """The events of one kind."""
    return [event for event in events_of(path) if isinstance(event, kind)]


def folded(path: Path) -> SessionState:
    """The state that a fresh reader comes to."""
    with Journal(path, writable=False) as journal:
        return fold_batches(journal.follow())


def write_journal(
    path: Path, clock: Clock, steps: Sequence[tuple[float, Event]], move: Callable[[float], None]
) -> None:
    """Write events, each after so many seconds."""
    with Journal(path) as journal:
        for seconds, event in steps:
            move(seconds)
            journal.append([Draft(clock.now(), event)])
        journal.sync()
