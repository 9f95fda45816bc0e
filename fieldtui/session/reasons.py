"""Why a line is not done, or what is to be said against it. Pure: it knows no keys, no shell and no screen."""

from __future__ import annotations

from collections.abc import Mapping
from enum import Enum, auto

from msgspec import Struct


class Remedy(Enum):
    """What would help. A screen names a key for it, a shell a command: each has its own words."""

    CHOOSE_FREQUENCY = auto()
    SEE_CHANNELS = auto()
    SEE_CONTACTS = auto()
    SEE_HELP = auto()


class Reason(Struct, frozen=True):
    """What is so, in words that hold everywhere, and what would help if that is not said in them."""

    what: str
    remedy: Remedy | None = None

    def words(self, remedies: Mapping[Remedy, str]) -> str:
        """The whole sentence, with the remedy as it is put here."""
        return self.what if self.remedy is None else f"{self.what}: {remedies[self.remedy]}"
