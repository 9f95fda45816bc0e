"""What a typed line can turn out to be."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING

from msgspec import Struct

from fieldtui.entry.payloads import TimeTyped

if TYPE_CHECKING:
    from datetime import datetime

    from fieldtui.entry.payloads import Payload


class Verb(StrEnum):
    """Words that act when they begin a line. None of them has the shape of a call sign."""

    NOTE = "note"
    HEARD = "heard"
    FIX = "fix"
    UNDO = "undo"
    REDO = "redo"
    ID = "id"
    OVER = "over"
    CHANNEL = "channel"
    HERE = "here"
    VOLTS = "volts"
    DONE = "done"


class Context(Struct, frozen=True):
    """What the entry line knows of the session while it reads a line.

    `now` (aware, UTC) resolves `1842z` and `-5m`; `hertz` and `mode` are the current tuning, by which reports
    are judged; `known_calls` (upper case) are stations worked or heard before. `clock_checked` says whether
    anything proved that `now` is right.
    """

    now: datetime | None = None
    hertz: int | None = None
    mode: str | None = None
    known_calls: frozenset[str] = frozenset()
    clock_checked: bool = True


class _Told(Struct, frozen=True, kw_only=True):
    """What every line carries: the text as typed, and what there is to say about it.

    `problems` are reasons why it cannot be used as it stands, `notices` mere remarks. `doubts` are what was probably
    meant otherwise, and would be lost: such a line is used when it was entered twice. `likely` is the line as it was
    probably meant, in its usual writing, where there is a likely reading.
    """

    text: str
    problems: tuple[str, ...] = ()
    doubts: tuple[str, ...] = ()
    notices: tuple[str, ...] = ()
    likely: str = ""

    @property
    def all_problems(self) -> tuple[str, ...]:
        """Everything worth saying about the line, what stops it first."""
        return self.problems + self.doubts + self.notices


class ContactLine(_Told, frozen=True, kw_only=True):
    """A contact to log. Anything not given is None; `hertz`, `mode`, `watts` and `at` only when typed, `at` in UTC."""

    call: str
    sent: str | None = None
    received: str | None = None
    locator: str | None = None
    name: str | None = None
    place: str | None = None
    remarks: str | None = None
    hertz: int | None = None
    mode: str | None = None
    watts: float | None = None
    at: datetime | None = None
    card: bool = False
    time_typed: TimeTyped | None = None

    @property
    def loggable(self) -> bool:
        """Whether nothing stands against logging it."""
        return not self.problems


class VerbLine(_Told, frozen=True, kw_only=True):
    """An order. `payload` is what the verb asks for, None when `problems` stop it."""

    verb: Verb
    payload: Payload | None


class TuningLine(_Told, frozen=True, kw_only=True):
    """Nothing but frequency, mode and power: what is logged from here on has them. It never has problems."""

    hertz: int | None = None
    mode: str | None = None
    watts: float | None = None


class UnclearLine(_Told, frozen=True, kw_only=True):
    """Not understood; `problems` say why and what to do. Keep the text in the entry line."""


class BlankLine(_Told, frozen=True, kw_only=True):
    """Nothing typed but blanks."""


Line = ContactLine | VerbLine | TuningLine | UnclearLine | BlankLine
