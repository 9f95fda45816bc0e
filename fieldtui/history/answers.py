"""What the index answers. All text in here was cleaned: it can be shown, and logged again."""

from __future__ import annotations

from collections.abc import Sequence, Set
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import NamedTuple

from fieldtui.radio.bands import BANDS
from fieldtui.radio.geodesy import Path as Way
from fieldtui.session.ways import path_of_locators

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
MILLISECOND = timedelta(milliseconds=1)


def time_of(milliseconds: int) -> datetime:
    """The time that the index keeps as milliseconds since 1970, UTC."""
    return EPOCH + milliseconds * MILLISECOND


@dataclass(frozen=True, slots=True)
class PastContact:
    """An earlier contact as it stands after all corrections; `at` is UTC to the millisecond.

    `journal` is the file that holds it, `number` its place in the list there, `own_locator` where the operator
    was. `source` is `journal`, or what else it was taken from. `band` is the ADIF name of what was sent on, known
    without a frequency too.
    """

    journal: Path
    source: str
    number: int
    id: str
    call: str
    at: datetime
    card: bool
    sent: str | None
    received: str | None
    name: str | None
    place: str | None
    locator: str | None
    own_locator: str | None
    hertz: int | None
    band: str | None
    mode: str | None
    watts: float | None
    remarks: str | None

    @property
    def way(self) -> Way | None:
        """Distance and bearing, if both ends were known."""
        return path_of_locators(self.own_locator, self.locator)


@dataclass(frozen=True, slots=True)
class Past:
    """What earlier contacts tell about a station.

    All forms of a call count as one station (`K1QRN` and `K1QRN/P`), and so does the operator's name. Place,
    locator and distance come only from contacts with the call as it is written here: who is portable is not
    at home. Each is the newest that was given. `distance_m` (metres) and `bearing_deg` (true) are as they were
    in the contact that gave the locator. `bands` are ADIF names, lowest first.
    """

    call: str
    count: int = 0
    name: str | None = None
    place: str | None = None
    locator: str | None = None
    first_at: datetime | None = None
    last_at: datetime | None = None
    bands: tuple[str, ...] = ()
    distance_m: float | None = None
    bearing_deg: float | None = None

    @property
    def known(self) -> bool:
        """Whether there was any contact."""
        return self.count > 0


@dataclass(frozen=True, slots=True)
class Candidate:
    """A known call that a half-heard one could be, and the (heard, meant) pairs to assume for it."""

    call: str
    count: int
    last_at: datetime
    confusions: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Refreshed:
    """What bringing the index up to date came to: counts of journals.

    `words` is empty if the index now tells what the journals tell, and kept it; otherwise one line for people.
    """

    journals: int = 0
    read: int = 0
    removed: int = 0
    unreadable: int = 0
    words: str = ""


class Trait(NamedTuple):
    """What `past_of` needs of a contact; `at` as the index has it."""

    at: int
    call: str
    band: str | None
    name: str | None
    place: str | None
    locator: str | None
    own_locator: str | None


def past_of(call: str, contacts: Sequence[Trait]) -> Past:
    """Sum up the contacts with one station, oldest first; `call` is the form it is asked for in."""
    if not contacts:
        return Past(call)
    newest = list(reversed(contacts))
    as_written = [contact for contact in newest if contact.call == call]
    located = next((contact for contact in as_written if contact.locator), None)
    way = path_of_locators(located.own_locator, located.locator) if located else None
    return Past(
        call=call,
        count=len(contacts),
        name=next((contact.name for contact in newest if contact.name), None),
        place=next((contact.place for contact in as_written if contact.place), None),
        locator=located.locator if located else None,
        first_at=time_of(contacts[0].at),
        last_at=time_of(contacts[-1].at),
        bands=_bands({contact.band for contact in contacts}),
        distance_m=way.distance_m if way else None,
        bearing_deg=way.bearing_deg if way else None,
    )


def _bands(names: Set[str | None]) -> tuple[str, ...]:
    return tuple(band.name for band in BANDS() if band.name in names)
