"""Earlier contacts with a station, over a folder of journals."""

from __future__ import annotations

import os
import sqlite3
import threading
from collections.abc import Callable, Sequence
from contextlib import closing
from datetime import datetime
from pathlib import Path
from typing import TypeVar

from fieldtui.history.answers import EPOCH, MILLISECOND, Candidate, Past, PastContact, Refreshed, past_of
from fieldtui.history.catching_up import CatchingUp, Listed, Progress, folder_key, listed
from fieldtui.history.known import Like, is_known
from fieldtui.history.questions import (
    Asked,
    Shelves,
    bands_before,
    candidates,
    contacts_with,
    known_calls,
    shelves_of,
    traits_of,
    was_in_square,
)
from fieldtui.history.rows import clean_call
from fieldtui.history.schema import ForeignError
from fieldtui.history.store import (
    BusyError,
    Identity,
    discard,
    identity,
    is_busy,
    is_damage,
    only_writer,
    open_in_memory,
    open_reader,
    open_writer,
    was_removed,
)
from fieldtui.session.newness import Earlier, Traits

WAIT_SECONDS = 10.0
"""How long a refresh waits for another program that is at it."""

Answer = TypeVar("Answer")
Question = Callable[[sqlite3.Connection, Shelves], Answer]


class History:
    """The index at `path` of the journals in `folder`; demo journals count only if asked for.

    Making one reads nothing, and a question reads a few pages of the index as it stands, however long the
    history is. Only `refresh` looks at the journals: run it in a thread of its own. Any thread may ask
    meanwhile. A question never fails: what the index cannot tell is not known.
    """

    def __init__(self, path: Path, folder: Path, *, demo: bool = False) -> None:
        self.path = path
        self.folder = folder
        self.demo = demo
        self._folder_key = folder_key(folder)
        self._lock = threading.Lock()
        self._db: sqlite3.Connection | None = None
        self._identity: Identity | None = None
        self._in_memory = False
        self._damaged = False

    def close(self) -> None:
        """Let go of the file. A question opens it again."""
        with self._lock:
            self._close()

    def __enter__(self) -> History:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    @property
    def damaged(self) -> bool:
        """Whether a question met damage: the next refresh makes the index again."""
        return self._damaged

    # Questions

    def of_call(self, call: str, *, besides: Path | None = None) -> Past:
        """What is known of a station, but for the journal `besides`: the one of the running session."""
        read, left_out = clean_call(call), self._name_of(besides)
        return self._ask(
            lambda db, shelves: past_of(read.text, traits_of(db, Asked(shelves, read.core, left_out))),
            Past(read.text),
        )

    def contacts_of(self, call: str, *, besides: Path | None = None) -> list[PastContact]:
        """All contacts with a station, whatever strokes its call had, oldest first."""
        core, left_out, folder = clean_call(call).core, self._name_of(besides), self._folder_key
        return self._ask(lambda db, shelves: contacts_with(db, Asked(shelves, core, left_out), folder), [])

    def knows_square(self, square: str, *, besides: Path | None = None) -> bool:
        """Whether any station was worked in a square: the first four characters of a locator, upper case."""
        left_out = self._name_of(besides)
        return self._ask(
            lambda db, shelves: was_in_square(db, Asked(shelves, "", left_out), square.upper()), False
        )

    def earlier(
        self, contacts: Sequence[Traits], before: datetime, *, besides: Path | None = None
    ) -> Earlier:
        """What of these contacts was worked before a moment, in other journals than `besides`."""
        left_out, until = self._name_of(besides), (before - EPOCH) // MILLISECOND
        cores = {each.core for each in contacts}
        squares = {each.square for each in contacts if each.square}

        def question(db: sqlite3.Connection, shelves: Shelves) -> Earlier:
            worked = {core: bands_before(db, Asked(shelves, core, left_out), until) for core in cores}
            asked = Asked(shelves, "", left_out)
            return Earlier(
                frozenset(core for core, bands in worked.items() if bands),
                frozenset((core, band) for core, bands in worked.items() for band in bands if band),
                frozenset(square for square in squares if was_in_square(db, asked, square, until)),
            )

        return self._ask(question, Earlier())

    def _name_of(self, journal: Path | None) -> bytes:
        if journal is None or folder_key(journal.parent) != self._folder_key:
            return b""
        return os.fsencode(journal.name)

    def knows(self, like: Like) -> bool:
        """Whether there is a contact already that any log would call the same."""
        core = clean_call(like.call).core
        return self._ask(lambda db, shelves: is_known(db, shelves, core, like), False)

    def matching(self, pattern: str, limit: int = 50) -> list[Candidate]:
        """The known calls that a half-heard one (`?` for one character) could be, the likeliest first."""
        heard = clean_call(pattern).core
        return self._ask(lambda db, shelves: candidates(db, shelves, heard, limit), [])

    def known_calls(self, prefix: str = "", limit: int = 20) -> list[str]:
        """The calls that begin with what was typed, in either case, those worked most first."""
        text = clean_call(prefix).text
        return self._ask(lambda db, shelves: known_calls(db, shelves, text, limit), [])

    def _ask(self, question: Question[Answer], nothing: Answer) -> Answer:
        with self._lock:
            try:
                db = self._opened()
                return question(db, shelves_of(db, self._folder_key, demo=self.demo)) if db else nothing
            except OSError:
                return nothing
            except (sqlite3.Error, ArithmeticError, TypeError, ValueError) as error:
                # Bytes that changed on the card can make a value anything at all.
                self._damaged |= is_damage(error)
                self._close()
                return nothing

    def _opened(self) -> sqlite3.Connection | None:
        """The open index, if the name still means it: see `store`."""
        if self._in_memory:
            return self._db
        now = identity(self.path)
        if self._db is None or now != self._identity:
            self._close()
            self._db, self._identity = (open_reader(self.path) if now else None), now
        return self._db

    def _close(self) -> None:
        if self._db is not None:
            self._db.close()
        self._db, self._in_memory = None, False

    # Bringing it up to date

    def refresh(self, progress: Progress | None = None, *, wait_seconds: float = WAIT_SECONDS) -> Refreshed:
        """Read the journals that changed, forget those that are gone; makes the index if need be.

        Never fails: where the index cannot be kept, it is made in memory. `progress` is called with how many
        journals of how many are read; what it raises ends the refresh, and what was committed stays.
        """
        try:
            found = listed(self.folder)
        except OSError as error:
            return Refreshed(words=f"the folder of journals cannot be read: {error.strerror or error}")
        try:
            with only_writer(self.path, wait_seconds):
                return self._refresh_file(found, progress)
        except (BusyError, OSError, sqlite3.Error, ForeignError) as error:
            if is_busy(error):
                return Refreshed(
                    len(found), words="another program is reading the journals: the newest may be missing"
                )
            return self._refresh_memory(found, progress, error)

    def _refresh_file(self, found: Sequence[Listed], progress: Progress | None) -> Refreshed:
        for last_try in (False, True):
            try:
                if self._damaged:
                    raise ForeignError
                with closing(open_writer(self.path)) as db:
                    work = CatchingUp(db, self.folder)
                    work.run(found, progress)
                break
            except (ForeignError, sqlite3.Error) as error:
                if last_try or not (is_damage(error) or was_removed(error)):
                    raise
                self._discard()
        self._leave_memory()
        return _told(work, found)

    def _discard(self) -> None:
        with self._lock:
            self._close()
            discard(self.path)
            self._damaged = False

    def _leave_memory(self) -> None:
        with self._lock:
            if self._in_memory:
                self._close()

    def _refresh_memory(
        self, found: Sequence[Listed], progress: Progress | None, why: Exception
    ) -> Refreshed:
        db = self._copied()
        work = CatchingUp(db, self.folder)
        try:
            work.run(found, progress)
        except BaseException:
            db.close()
            raise
        with self._lock:
            self._close()
            self._db, self._in_memory = db, True
        reason = getattr(why, "strerror", None) or str(why) or "something else is there"
        return _told(
            work,
            found,
            f"the index of earlier contacts cannot be kept in {self.path} ({reason}): it is made each time; "
            "set FIELDTUI_HISTORY to a file in another folder",
        )

    def _copied(self) -> sqlite3.Connection:
        """An index in memory that begins with what is there already."""
        with self._lock:
            try:
                return open_in_memory(self._opened() if not self._damaged else None)
            except (OSError, ForeignError, sqlite3.Error):
                return open_in_memory(None)


def _told(work: CatchingUp, found: Sequence[Listed], words: str = "") -> Refreshed:
    if work.unreadable and not words:
        words = f"journals that cannot be read: {work.unreadable}; contacts may be missing"
    return Refreshed(len(found), work.read, work.removed, work.unreadable, words)
