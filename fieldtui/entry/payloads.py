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


class Fix(Struct, frozen=True):
    """Change one field of contact `number` (as numbered in the list) or of the last one.

    The type of `value` follows the field: text, hertz for `mhz`, watts, bool for `card`, datetime for `at`;
    None empties the field. `time_typed` is there for a time that the clock told a part of.
    """

    number: int | Literal["last"]
    field: Field
    value: FixValue
    time_typed: TimeTyped | None = None


class Undo(Struct, frozen=True):
    """Take the newest contact back."""


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


class Show(Struct, frozen=True):
    """Something of the screen, which writes nothing: its help, the way out, its settings."""

    what: Literal["help", "leave", "settings"]


Payload = Note | Heard | Fix | Undo | Identify | Over | Channel | Here | Volts | Done | Show
