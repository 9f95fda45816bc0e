"""Reading a journal from the command line."""

from __future__ import annotations

from pathlib import Path

from fieldtui.cli.files import file_fault
from fieldtui.cli.output import complain, safe
from fieldtui.journal.chain import Damage, unfinished
from fieldtui.journal.errors import file_words
from fieldtui.journal.file import Journal
from fieldtui.session.folding import folded
from fieldtui.session.state import SessionState


def fold(path: Path) -> tuple[SessionState, list[Damage]] | None:
    """The state that a journal holds and the damage in it; complains and returns None if there is none."""
    if fault := file_fault(path):
        complain(fault)
        return None
    try:
        with Journal(path, writable=False) as journal:
            state = folded(journal.follow())
            damage = list(journal.damage)
            if journal.unfinished_bytes:
                damage.append(unfinished(journal.lines))
    except OSError as error:
        complain(f"{safe(path)}: {file_words(error)}")
        return None
    if not state.lines and damage:
        complain(f"{safe(path)}: not a journal of this program")
        return None
    return state, damage
