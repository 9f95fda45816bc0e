"""What is kept of the identifications of a session for afterwards."""

from __future__ import annotations

from msgspec import Struct

from fieldtui.radio.units import count_of
from fieldtui.session.timeline import Moment

MOST_UNMARKED = 300
"""So many are named; the others are only counted."""


def unseen_words(unseen: int) -> str:
    """What is to be said where communications were logged and nothing sent in them was recorded."""
    return f"no transmission recorded for {count_of(unseen, 'communication')}: calls there are not counted"


class Unmarked(Struct, frozen=True):
    """The end of a communication after which no call was marked in time: when, and its last contact."""

    moment: Moment
    contact: str | None
    left_hertz: int | None = None
    """The frequency that was left without a call, where that ended it."""


class IdentificationRecord(Struct):
    """What the operator may want to know afterwards."""

    given: int = 0
    transmissions: int = 0
    late: int = 0
    """Calls that came after the deadline."""
    unmarked: int = 0
    """Communications whose end had no call marked when the next one was over, or under way, or the channel left."""
    unseen: int = 0
    """Communications of which no transmission was seen or marked: what was owed there nobody knows."""
    unmarked_ends: tuple[Unmarked, ...] = ()
    """The first of them."""
    longest_gap_seconds: float = 0.0
    """The longest time from a count's start to the call that ended it."""

    @property
    def missed(self) -> int:
        """Calls that were owed, and were late or not marked at all."""
        return self.late + self.unmarked

    def leave_unmarked(self, moment: Moment, contact: str | None, left_hertz: int | None = None) -> None:
        """The communication that ended then, with this contact as its last one, had no call marked."""
        self.unmarked += 1
        if len(self.unmarked_ends) < MOST_UNMARKED:
            self.unmarked_ends = (*self.unmarked_ends, Unmarked(moment, contact, left_hertz))
