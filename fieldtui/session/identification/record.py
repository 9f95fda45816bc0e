"""What is kept of the identifications of a session for afterwards."""

from __future__ import annotations

from msgspec import Struct

from fieldtui.session.timeline import Moment

MOST_UNMARKED = 300
"""So many are named; the others are only counted."""


class Unmarked(Struct, frozen=True):
    """The end of a communication after which no call was marked before the next one: when, and its last contact."""

    moment: Moment
    contact: str | None


class IdentificationRecord(Struct):
    """What the operator may want to know afterwards."""

    given: int = 0
    transmissions: int = 0
    late: int = 0
    """Calls that came after the deadline."""
    unmarked: int = 0
    """Communications whose end had no call marked when the next one was over, or under way."""
    unmarked_ends: tuple[Unmarked, ...] = ()
    """The first of them."""
    longest_gap_seconds: float = 0.0
    """The longest time from a count's start to the call that ended it."""

    @property
    def missed(self) -> int:
        """Calls that were owed, and were late or not marked at all."""
        return self.late + self.unmarked

    def leave_unmarked(self, moment: Moment, contact: str | None) -> None:
        """The communication that ended then, with this contact as its last one, had no call marked."""
        self.unmarked += 1
        if len(self.unmarked_ends) < MOST_UNMARKED:
            self.unmarked_ends = (*self.unmarked_ends, Unmarked(moment, contact))
