"""What is new about a contact: the station, its square (four characters of the locator), or the station on a band.

Screen and report count with the same words: a station is new if no form of its call was worked before; what is new
with the station itself is not counted a second time on its band.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from msgspec import Struct

from fieldtui.session.contact_band import band_of_contact

if TYPE_CHECKING:
    from fieldtui.session.contacts import Contact

SQUARE = 4
"""Characters of a locator that name a square."""


class Traits(Struct, frozen=True):
    """Of a contact, what can be new: the call without strokes, the ADIF name of the band, the square."""

    core: str
    band: str | None
    square: str | None


class Earlier(Struct, frozen=True):
    """What was worked before: cores of calls, pairs of core and band, squares."""

    cores: frozenset[str] = frozenset()
    bands: frozenset[tuple[str, str]] = frozenset()
    squares: frozenset[str] = frozenset()


class News(Struct, frozen=True):
    """How many stations, squares and stations on a further band were new."""

    stations: int = 0
    squares: int = 0
    on_bands: int = 0

    @property
    def words(self) -> str:
        """In one phrase; empty if nothing was new."""
        told = (
            (self.stations, "new station", "new stations"),
            (self.squares, "new square", "new squares"),
            (self.on_bands, "station new on a band", "stations new on a band"),
        )
        return ", ".join(f"{count} {one if count == 1 else many}" for count, one, many in told if count)


def square_of(locator: str | None) -> str | None:
    """Return the square that a locator lies in, upper case, or None for one that is too short or none."""
    from fieldtui.radio.locator import is_locator  # noqa: PLC0415  (no start waits for it)

    text = (locator or "").strip()
    return text[:SQUARE].upper() if len(text) >= SQUARE and is_locator(text) else None


def traits_of_contact(contact: Contact) -> Traits:
    """Return what can be new about a contact as it stands."""
    from fieldtui.radio.callsign import read_call  # noqa: PLC0415  (as above)

    band = band_of_contact(contact)
    return Traits(read_call(contact.call).core, band.name if band else None, square_of(contact.locator))


def news_of(contacts: Iterable[Traits], earlier: Earlier) -> News:
    """Count what was new in contacts, oldest first, after those earlier."""
    cores, bands, squares = set(earlier.cores), set(earlier.bands), set(earlier.squares)
    new_stations = new_squares = new_on_bands = 0
    for core, band, square in ((each.core, each.band, each.square) for each in contacts):
        if core not in cores:
            new_stations += 1
        elif band and (core, band) not in bands:
            new_on_bands += 1
        if square and square not in squares:
            new_squares += 1
            squares.add(square)
        cores.add(core)
        if band:
            bands.add((core, band))
    return News(new_stations, new_squares, new_on_bands)


def news_words(now: Traits, here: Iterable[Contact], earlier: Earlier) -> str:
    """Say what would be new about a contact that is typed, after those of the session and those earlier."""
    from fieldtui.radio.bands import spoken_band  # noqa: PLC0415  (as above)

    before = [traits_of_contact(contact) for contact in here]
    known = now.core in earlier.cores or any(each.core == now.core for each in before)
    band = known and now.band and (now.core, now.band) not in earlier.bands
    band = band and not any((each.core, each.band) == (now.core, now.band) for each in before)
    square = now.square and now.square not in earlier.squares
    square = square and not any(each.square == now.square for each in before)
    told = ["" if known else "new station", f"new square {now.square}" if square else ""]
    return ", ".join(filter(None, [*told, f"new on {spoken_band(now.band)}" if band and now.band else ""]))
