"""The folder of journals: where they are, what they are called, which one is unfinished."""

from __future__ import annotations

import os
import re
import unicodedata
from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path

from fieldtui.journal.user_folders import data_folder, named_path

SUFFIX = ".jsonl"
IMPORTED = "imported-"
"""Begins the name of a journal whose contacts were copied from a file of another program."""
RESUMABLE = timedelta(hours=18)
"""An unfinished session older than this is yesterday's: it is named, not resumed by itself."""
LONGEST_OPENING_BYTES = 16 * 1024
"""Looked through of a first line; what an opening tells is a few hundred."""
FIRST_TAIL_BYTES, TAIL_BYTES = 8 * 1024, 64 * 1024
"""Read first, and at once after that; the first is mostly enough, since little follows in a closed session."""
OVERLAP_BYTES = 512
"""More than all that stands in a line before what it tells."""

_OPEN_OR_CLOSED = (b"closed", b"resumed", b"opened")


def journal_folder() -> Path:
    """`$FIELDTUI_JOURNALS`, or `fieldtui/journals` in the user's data folder."""
    return named_path("FIELDTUI_JOURNALS", data_folder() / "fieldtui" / "journals")


def journal_name(opened_at: datetime, place: str | None) -> str:
    """`YYYY-MM-DD-HHMM-place.jsonl`; the place is reduced to what is safe in every file system."""
    plain = unicodedata.normalize("NFKD", place or "").encode("ascii", "ignore").decode().lower()
    word = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:40] or "session"
    return f"{opened_at:%Y-%m-%d-%H%M}-{word}{SUFFIX}"


def fresh_path(folder: Path, opened_at: datetime, place: str | None) -> Path:
    """A path for a new journal that no file has yet."""
    first = folder / journal_name(opened_at, place)
    path, number = first, 2
    while path.exists():
        path, number = first.with_stem(f"{first.stem}-{number}"), number + 1
    return path


def journals(folder: Path) -> list[Path]:
    """All journals of a folder, oldest name first; a folder that is not there has none."""
    try:
        return sorted(path for path in folder.iterdir() if path.suffix == SUFFIX and path.is_file())
    except (FileNotFoundError, NotADirectoryError):
        return []


def is_imported(path: Path) -> bool:
    """Whether the contacts of a journal were copied from a file of another program, by its first line."""
    try:
        with path.open("rb") as file:
            return b'"imported":"' in file.readline(LONGEST_OPENING_BYTES)
    except OSError:
        return False


def imported_path(folder: Path, at: datetime, source: str) -> Path:
    """A path for the contacts of a file of this name, that no file has yet."""
    name = journal_name(at, source)
    first, number = folder / f"{IMPORTED}{name}", 2
    path = first
    while path.exists():
        path, number = first.with_stem(f"{first.stem}-{number}"), number + 1
    return path


def holds_nothing(path: Path) -> bool:
    """Whether a session that opens here is a new one: `serve` makes the file before the session writes into it."""
    try:
        return path.stat().st_size == 0
    except OSError:
        return True


def is_finished(path: Path) -> bool:
    """Whether the session of a journal was closed and not resumed, judged by its last lines only."""
    for piece in pieces_from_the_end(path):
        # Quotation marks in texts are escaped: only a kind looks like that.
        closed, *others = (piece.rfind(b'"kind":"session-%s"' % what) for what in _OPEN_OR_CLOSED)
        if max(closed, *others) >= 0:
            return closed > max(others)
    return False


def pieces_from_the_end(path: Path) -> Iterator[bytes]:
    """A file from its end, a piece at a time: after the close stands what became of the cards.

    Each holds a little of the one before too, so that what the cut goes through is whole in one of them.

    Raises:
        OSError: it cannot be read.
    """
    with path.open("rb") as file:
        start, size = file.seek(0, os.SEEK_END), FIRST_TAIL_BYTES
        while start:
            end, start = start, max(0, start - size)
            file.seek(start)
            yield file.read(end - start + OVERLAP_BYTES)
            size = TAIL_BYTES


_BEGINS = b'{"seq":'


def may_be_journal(path: Path) -> bool:
    """Whether a file begins as a journal does, or is empty, or its first line was torn by a power cut.

    What cannot be read, or is not there, may be one: whoever opens it tells what is wrong.
    """
    try:
        with path.open("rb") as file:
            start = file.read(len(_BEGINS)).strip(b"\0")
    except OSError:
        return True
    return start.startswith(_BEGINS) or _BEGINS.startswith(start)
