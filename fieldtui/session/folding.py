"""From the batches of a journal to the state that it holds."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from fieldtui.session.state import SessionState

if TYPE_CHECKING:
    from fieldtui.journal.file import Batch


def folded(batches: Iterable[Batch], state: SessionState | None = None) -> SessionState:
    """Fold on from `state`, or from nothing; where the journal begins again, so does the fold."""
    state = state or SessionState()
    for batch in batches:
        if batch.restarted:
            state = SessionState()
        state.apply_all(batch.envelopes)
    return state
