"""What a look before leaving home finds: one line for each thing, and what to do about it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class State(StrEnum):
    """How a thing stands."""

    OK = "ok"
    LOOK = "look"
    """Worth a look; one can go without it."""
    MISSING = "missing"
    """The day will lack it."""


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that was looked at. `do` is the remedy, and empty where nothing is to be done."""

    name: str
    state: State
    what: str
    do: str = ""


def ok(name: str, what: str) -> Finding:
    """Nothing to do."""
    return Finding(name, State.OK, what)


def look(name: str, what: str, do: str) -> Finding:
    """Worth a look."""
    return Finding(name, State.LOOK, what, do)


def missing(name: str, what: str, do: str) -> Finding:
    """Something to do before leaving."""
    return Finding(name, State.MISSING, what, do)
