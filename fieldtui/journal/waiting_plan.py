"""The plan that waits for its session: made the evening before, taken into the journal when the session opens.

It is a file of journal lines beside the journals, and no journal: no session is resumed from it, and no history counts
it. Planning again, and ticking off the kit, append to it.
"""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path

from fieldtui.journal.event_types import Event
from fieldtui.journal.file import Draft, Journal
from fieldtui.journal.folder import journal_folder
from fieldtui.journal.line import read_event
from fieldtui.journal.made_folder import make_folder
from fieldtui.journal.stamp import Stamp

NAME = "next-outing.plan"


def waiting_path() -> Path:
    """Where the plan for the coming session waits: in the folder of journals, and not named as one."""
    return journal_folder() / NAME


def waiting_events(path: Path) -> list[Event]:
    """What waits, in file order; nothing if there is no such file or it cannot be read."""
    if not path.is_file():
        return []
    try:
        with Journal(path, writable=False) as journal:
            envelopes = [envelope for batch in journal.follow() for envelope in batch.envelopes]
    except OSError:
        return []
    return [event for envelope in envelopes if (event := read_event(envelope)) is not None]


def add_waiting(path: Path, events: Sequence[Event], stamp: Stamp) -> None:
    """Append to what waits; it is on the disk when this returns.

    Raises:
        OSError, JournalError: the disk did not take it.
    """
    make_folder(path.parent)
    with Journal(path) as journal:
        for _ in (*journal.follow(), *journal.recover()):
            pass
        journal.append([Draft(stamp, event) for event in events])
        journal.sync()


def take_away(path: Path) -> None:
    """What waited stands in a journal now. A file that cannot be removed is taken once more: no harm."""
    with suppress(OSError):
        path.unlink(missing_ok=True)
