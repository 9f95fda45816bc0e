"""The questions to the index, as SQL. Each is answered from an index of the tables, not by reading them all."""

from __future__ import annotations

import os
import re
import sqlite3
from collections.abc import Iterable
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

from fieldtui.data.tables import load_toml
from fieldtui.history.answers import Candidate, PastContact, Trait, time_of
from fieldtui.radio.half_heard import MOST_CONFUSIONS, matches

LATEST = 2**62
"""Milliseconds later than any contact."""

_PLAIN = re.compile(r"[A-Z0-9/]*")
_PLAIN_OR_UNHEARD = re.compile(r"[A-Z0-9/?]*")


class Shelves(NamedTuple):
    """Which journals are asked: those of one folder, and its demos or the same shelf once more."""

    real: int
    other: int


def shelves_of(db: sqlite3.Connection, folder: bytes, *, demo: bool) -> Shelves:
    """The shelves of a folder; one that is not there is -1."""
    found = {
        is_demo: shelf
        for shelf, is_demo in db.execute("SELECT id, demo FROM shelf WHERE folder = ?", (folder,))
    }
    real = found.get(0, -1)
    return Shelves(real, found.get(1, -1) if demo else real)


class Asked(NamedTuple):
    """Whose contacts are asked for: a station by the core of its call, in which journals but the named one."""

    shelves: Shelves
    core: str
    besides: bytes


def traits_of(db: sqlite3.Connection, asked: Asked) -> list[Trait]:
    """What tells who a station is, oldest contact first; answered without a look into the table."""
    rows = db.execute(
        "SELECT at, call, band, name, place, locator, own_locator FROM contact"
        " WHERE shelf IN (?, ?) AND core = ? AND file <> ? ORDER BY at, file, number",
        (*asked.shelves, asked.core, _file(db, asked)),
    )
    return [*map(Trait._make, rows)]


def was_in_square(db: sqlite3.Connection, asked: Asked, square: str, before: int | None = None) -> bool:
    """Whether any station was worked in a square of four characters, before a moment in milliseconds if given."""
    rows = db.execute(
        "SELECT 1 FROM contact INDEXED BY contact_in_square"
        " WHERE shelf IN (?, ?) AND locator IS NOT NULL AND upper(substr(locator, 1, 4)) = ?"
        " AND file <> ? AND at < ? LIMIT 1",
        (*asked.shelves, square, _file(db, asked), LATEST if before is None else before),
    )
    return rows.fetchone() is not None


def bands_before(db: sqlite3.Connection, asked: Asked, before: int) -> list[str | None]:
    """The bands on which a station was worked before a moment in milliseconds; empty if it was not."""
    rows = db.execute(
        "SELECT DISTINCT band FROM contact WHERE shelf IN (?, ?) AND core = ? AND file <> ? AND at < ?",
        (*asked.shelves, asked.core, _file(db, asked), before),
    )
    return [band for (band,) in rows]


def contacts_with(db: sqlite3.Connection, asked: Asked, folder: bytes) -> list[PastContact]:
    """All contacts with a station, oldest first."""
    rows = db.execute(
        "SELECT file.name, source, number, contact.id, call, at, card, sent, received, contact.name, place,"
        " locator, own_locator, hertz, band, mode, watts, remarks FROM contact JOIN file ON file.id = file"
        " WHERE contact.shelf IN (?, ?) AND core = ? AND file <> ? ORDER BY at, file, number",
        (*asked.shelves, asked.core, _file(db, asked)),
    )
    return [_contact(folder, row) for row in rows]


def _file(db: sqlite3.Connection, asked: Asked) -> int:
    """The journal to leave out; -1 for none."""
    wanted = (*asked.shelves, asked.besides)
    found = db.execute("SELECT id FROM file WHERE shelf IN (?, ?) AND name = ?", wanted).fetchone()
    return int(found[0]) if found else -1


def _contact(folder: bytes, row: tuple[Any, ...]) -> PastContact:
    name, source, number, contact_id, call, at, card, *rest = row
    journal = Path(os.fsdecode(folder)) / os.fsdecode(name)
    return PastContact(journal, source, number, contact_id, call, time_of(at), bool(card), *rest)


def candidates(db: sqlite3.Connection, shelves: Shelves, heard: str, limit: int) -> list[Candidate]:
    """The known calls that a half-heard core could be: the surest first, then those worked most, then lately.

    The database leaves only what differs in up to `MOST_CONFUSIONS` characters that sound alike, in that order;
    `half_heard` has the last word.
    """
    if not heard.strip("?"):
        return []
    places = [(at, character) for at, character in enumerate(heard, 1) if character != "?"]
    confused = " + ".join(["(substr(core, ?, 1) <> ?)"] * len(places))
    rows = db.execute(
        "SELECT call, sum(contacts) AS times, max(last_at), " + confused + " AS confused FROM station"  # noqa: S608
        " WHERE shelf IN (?, ?) AND core GLOB ? GROUP BY core, call HAVING confused <= ?"
        " ORDER BY confused, times DESC, 3 DESC, call LIMIT ?",
        (*(value for place in places for value in place), *shelves, _glob(heard), MOST_CONFUSIONS, limit),
    ).fetchall()
    found = {call: (count, time_of(last_at)) for call, count, last_at, _ in rows}
    return [Candidate(match.call, *found[match.call], match.confusions) for match in matches(heard, found)]


def _glob(heard: str) -> str:
    return "".join(_glob_character(character) for character in heard)


def _glob_character(character: str) -> str:
    # What no call is written with could mean something to GLOB; `half_heard` looks at it.
    if not _PLAIN.fullmatch(character):
        return "?"
    return f"[{character}{_sounds_like().get(character, '')}]"


@cache
def _sounds_like() -> dict[str, str]:
    groups: Iterable[str] = load_toml("voice_confusions.toml")["groups"]
    return {character: group for group in groups for character in group}


def known_calls(db: sqlite3.Connection, shelves: Shelves, prefix: str, limit: int) -> list[str]:
    """The calls that begin like this (`?` for any character), those worked most first."""
    if not _PLAIN_OR_UNHEARD.fullmatch(prefix):
        return []
    head = prefix.partition("?")[0]
    rows = db.execute(
        "SELECT call FROM station WHERE shelf IN (?, ?) AND call >= ? AND call < ? AND call GLOB ?"
        " GROUP BY call ORDER BY sum(contacts) DESC, call LIMIT ?",
        (*shelves, head, f"{head}\U0010ffff", f"{prefix}*", limit),
    )
    return [call for (call,) in rows]
