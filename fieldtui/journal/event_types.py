"""What every kind of journal line is made of: the base struct, and the bounds of its values."""

from __future__ import annotations

from typing import Annotated

from msgspec import Meta, Struct

MOST_CHARACTERS = 3000
"""Of a text: as many as an entry line can become, and few enough that every event fits into a line."""

Text = Annotated[str, Meta(max_length=MOST_CHARACTERS)]
Hertz = Annotated[int, Meta(ge=0, le=10_000_000_000_000)]
"""As far as anybody can type: the highest band has a name up to 7.5 THz (ADIF 3.1.6, Band enumeration)."""
Count = Annotated[int, Meta(ge=0, le=1_000_000_000)]
Number = Annotated[float, Meta(ge=-1e12, le=1e12)]
"""Bounded, so that nothing that a line says can carry later sums or times out of their range."""
MOST_NUMBERS = 400
"""In one list of a line."""
NumberList = Annotated[tuple[Number, ...], Meta(max_length=MOST_NUMBERS)]
FrequencyList = Annotated[tuple[Hertz, ...], Meta(max_length=MOST_NUMBERS)]


class Event(Struct, frozen=True, kw_only=True, omit_defaults=True, gc=False):
    """What one journal line tells; `KINDS` names it in the file."""


class Act(Event, frozen=True, kw_only=True):
    """What an operator did, and may take back. Lines with the same `act` were done in one go, and go together.

    A line without it is of the act that its `id` names; with neither it cannot be taken back.
    """

    act: Text | None = None


def act_of(event: Event) -> str | None:
    """The name of the act that a line belongs to."""
    return (event.act or getattr(event, "id", None)) if isinstance(event, Act) else None
