"""The tables of the index, and whether a file holds them.

A `shelf` is one folder of journals, its demo journals apart from the real ones. `station` has one row for each
form of a call on a shelf; triggers keep it in step with `contact`, whoever writes there, so that a half-heard
call is looked for among stations, not among all contacts. The index of `contact` holds all that the question
"who is this" needs: contacts with one station lie apart in the table, and a card is slow to fetch them.

Contacts from elsewhere have a place here too: a `file` with a `source` of its own, which a refresh leaves alone,
and its contacts. Whoever puts them there can do it again, since an index may be deleted at any time.
"""

from __future__ import annotations

import sqlite3

APPLICATION_ID = int.from_bytes(b"ftuh", "big")
VERSION = 3
"""Of the tables and of what the rows mean. With any other, the index is made again: nothing is converted."""

FROM_JOURNAL = "journal"
"""The `source` of files that the folder of journals holds. Others belong to whoever put them there."""

COLUMNS = (
    "number", "id", "call", "at", "sent", "received", "name", "place", "locator", "own_locator", "hertz", "band", "mode",
    "watts", "remarks", "card", "core",
)  # fmt: skip
"""Of a contact, in the order of a row. `at` is milliseconds since 1970 UTC, `core` the call without its strokes.
`hertz` is what was listened on, `band` the ADIF name of what was sent on."""

_TABLES = """
CREATE TABLE shelf (id INTEGER PRIMARY KEY, folder BLOB NOT NULL, demo INTEGER NOT NULL, UNIQUE (folder, demo));

CREATE TABLE file (
    id INTEGER PRIMARY KEY, shelf INTEGER NOT NULL REFERENCES shelf, source TEXT NOT NULL, name BLOB NOT NULL,
    size INTEGER NOT NULL, mtime_ns INTEGER NOT NULL, inode INTEGER NOT NULL, UNIQUE (shelf, name)
);

CREATE TABLE contact (
    file INTEGER NOT NULL REFERENCES file, number INTEGER NOT NULL, shelf INTEGER NOT NULL, id TEXT NOT NULL,
    call TEXT NOT NULL, core TEXT NOT NULL, at INTEGER NOT NULL, sent TEXT, received TEXT, name TEXT, place TEXT,
    locator TEXT, own_locator TEXT, hertz INTEGER, band TEXT, mode TEXT, watts REAL, remarks TEXT, card INTEGER NOT NULL,
    PRIMARY KEY (file, number)
) WITHOUT ROWID;
CREATE INDEX contact_of_station
ON contact (shelf, core, at, call, band, name, place, locator, own_locator);
CREATE INDEX contact_in_square ON contact (shelf, upper(substr(locator, 1, 4))) WHERE locator IS NOT NULL;

CREATE TABLE station (
    shelf INTEGER NOT NULL, core TEXT NOT NULL, call TEXT NOT NULL, contacts INTEGER NOT NULL,
    last_at INTEGER NOT NULL, PRIMARY KEY (shelf, core, call)
) WITHOUT ROWID;
CREATE INDEX station_by_call ON station (shelf, call, contacts);

CREATE TRIGGER contact_added AFTER INSERT ON contact BEGIN
    INSERT INTO station VALUES (new.shelf, new.core, new.call, 1, new.at)
    ON CONFLICT (shelf, core, call) DO UPDATE SET contacts = contacts + 1, last_at = max(last_at, new.at);
END;

CREATE TRIGGER contact_gone AFTER DELETE ON contact BEGIN
    UPDATE station SET contacts = contacts - 1, last_at = CASE WHEN old.at < last_at THEN last_at ELSE coalesce((
        SELECT max(at) FROM contact WHERE shelf = old.shelf AND core = old.core AND call = old.call
    ), last_at) END
    WHERE shelf = old.shelf AND core = old.core AND call = old.call;
    DELETE FROM station WHERE shelf = old.shelf AND core = old.core AND call = old.call AND contacts < 1;
END;
"""


class ForeignError(Exception):
    """The file holds something else, or an index of another version."""


def holds_index(db: sqlite3.Connection) -> bool:
    """Whether this is an index as this version makes it; reads nothing but the file's first page."""
    return _marks(db) == (APPLICATION_ID, VERSION)


def prepare(db: sqlite3.Connection) -> None:
    """Make the tables in an empty file, all or nothing; a file that holds the index stays as it is.

    Raises:
        ForeignError: it holds something else.
        sqlite3.Error: it cannot be read or written.
    """
    if holds_index(db):
        return
    if _marks(db) != (0, 0) or db.execute("SELECT 1 FROM sqlite_master LIMIT 1").fetchone():
        raise ForeignError
    marks = f"PRAGMA application_id = {APPLICATION_ID}; PRAGMA user_version = {VERSION};"
    db.executescript(f"BEGIN IMMEDIATE; {_TABLES} {marks} COMMIT;")


def _marks(db: sqlite3.Connection) -> tuple[int, int]:
    (application_id,) = db.execute("PRAGMA application_id").fetchone()
    (version,) = db.execute("PRAGMA user_version").fetchone()
    return application_id, version
