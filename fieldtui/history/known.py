"""Whether a contact is in the index already, by what any log tells of it: call, time, band and mode."""

from __future__ import annotations

import sqlite3
from datetime import datetime, timedelta

from msgspec import Struct

from fieldtui.history.answers import EPOCH, MILLISECOND, time_of
from fieldtui.history.questions import Shelves
from fieldtui.radio.adif_modes import names_in_adif

MINUTE = timedelta(minutes=1)


class Like(Struct, frozen=True):
    """A contact to look for: `call` upper case, `at` UTC, `band` an ADIF name; None is not known, and fits anything.

    `to_the_minute`: its time has no seconds.
    """

    call: str
    at: datetime
    band: str | None = None
    mode: str | None = None
    to_the_minute: bool = False

    def is_at(self, other: datetime) -> bool:
        """Whether both began in the same second; in the same minute, if one of them may say no more."""
        minute = self.at.replace(second=0, microsecond=0)
        if other.replace(second=0, microsecond=0) != minute:
            return False
        coarse = self.to_the_minute or (other.second == 0 and other.microsecond == 0)
        return coarse or other.second == self.at.second

    def is_on(self, band: str | None, mode: str | None) -> bool:
        """Whether band and mode do not speak against it."""
        if band is not None and self.band is not None and band != self.band:
            return False
        return mode is None or self.mode is None or _kind(mode) == _kind(self.mode)


def is_known(db: sqlite3.Connection, shelves: Shelves, core: str, like: Like) -> bool:
    """Whether the index has such a contact; `core` is the call without its strokes."""
    minute = like.at.replace(second=0, microsecond=0)
    rows = db.execute(
        "SELECT at, band, mode FROM contact"
        " WHERE shelf IN (?, ?) AND core = ? AND at >= ? AND at < ? AND call = ?",
        (*shelves, core, _milliseconds(minute), _milliseconds(minute + MINUTE), like.call),
    )
    return any(like.is_at(time_of(at)) and like.is_on(band, mode) for at, band, mode in rows)


def _milliseconds(at: datetime) -> int:
    return (at - EPOCH) // MILLISECOND


def _kind(mode: str) -> str:
    """The ADIF Mode: `USB` and `SSB` are one."""
    names = names_in_adif(mode)
    return names[0] if names else mode.upper()
