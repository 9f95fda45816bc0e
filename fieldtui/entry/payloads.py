"""What each verb asks for, one small record a verb."""

from __future__ import annotations

from datetime import datetime
from enum import StrEnum
from typing import Literal

from msgspec import Struct

FixValue = str | int | float | bool | datetime | None
"""Text; whole hertz; watts; whether a card was promised; an aware UTC time; None to empty the field."""


class Field(StrEnum):
    """The fields of a contact that `fix` can change, by the word that is typed."""

    CALL = "call"
    SENT = "sent"
    RECEIVED = "received"
    NAME = "name"
    PLACE = "place"
    LOCATOR = "locator"
    MHZ = "mhz"
    MODE = "mode"
    WATTS = "watts"
    REMARKS = "remarks"
    CARD = "card"
    AT = "at"

    @property
    def key(self) -> str:
        """The name of the field in a contact: what is typed in MHz is kept in hertz."""
        return "hertz" if self is Field.MHZ else self.value

    @property
    def words(self) -> str:
        """What a person calls it."""
        return _WORDS.get(self, str(self))


_WORDS = {
    Field.SENT: "report sent",
    Field.RECEIVED: "report received",
    Field.MHZ: "frequency",
    Field.WATTS: "power",
    Field.AT: "time",
}


class TimeTyped(Struct, frozen=True, omit_defaults=True):
    """What of a typed time the clock told, by which it was understood: that may turn out to be wrong.

    `-5m` is all by the clock, `ago_seconds` before now; of `1842z` only the day is.
    """

    ago_seconds: float | None = None
    day_by_clock: bool = False


class Note(Struct, frozen=True):
    """Write `text` down."""

    text: str


class Heard(Struct, frozen=True):
    """A station was heard, no contact yet; `call` may hold `?` for characters not heard."""

    call: str
    text: str | None


Spans = tuple[tuple[int, int], ...]
"""Numbers of the list, each first to last."""
Which = int | str | Spans
"""A contact by its number in the list, several, `last`, `all`, or those with a call (upper case)."""


class Fix(Struct, frozen=True):
    """Change one field of contact `number` (as numbered in the list), of several, or of those with a call.

    The type of `value` follows the field: text, hertz for `mhz`, watts, bool for `card`, datetime for `at`;
    None empties the field. `time_typed` is there for a time that the clock told a part of. `also` is a second
    field that was named by the same word: `rst 59 57` is both reports.
    """

    number: Which
    field: Field
    value: FixValue
    time_typed: TimeTyped | None = None
    also: tuple[Field, FixValue] | None = None

    @property
    def values(self) -> dict[Field, FixValue]:
        """All fields that change."""
        return dict(filter(None, ((self.field, self.value), self.also)))


class Undo(Struct, frozen=True):
    """Take back the newest thing that was done, whatever it was."""


class Redo(Struct, frozen=True):
    """Bring back what was taken back last."""


class Identify(Struct, frozen=True):
    """The call sign was given just now, by this method; `said` is what was sent, if not simply the call."""

    method: Literal["phone", "cw", "data"]
    said: str | None


class Over(Struct, frozen=True):
    """Toggle the mark that says the station is sending, where no shunt tells."""


class Channel(Struct, frozen=True):
    """Tune to the channel of this name or number."""

    name: str


class Here(Struct, frozen=True):
    """The station is at this locator, at this place, or both."""

    locator: str | None
    place: str | None


class Volts(Struct, frozen=True):
    """The pack's voltage, read from a meter."""

    volts: float


class Done(Struct, frozen=True):
    """Close the session."""


Payload = Note | Heard | Fix | Undo | Redo | Identify | Over | Channel | Here | Volts | Done
