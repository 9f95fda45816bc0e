"""Reading the user's files, never more than they may hold."""

from __future__ import annotations

from pathlib import Path

from msgspec import Struct

from fieldtui.cli.output import safe
from fieldtui.journal.errors import file_words
from fieldtui.journal.folder import SUFFIX

_JOURNAL_BEGINS = b'{"seq":'


class Made(Struct, frozen=True):
    """What a command writes: its kind for people, and how such a file begins."""

    kind: str
    begins: bytes


PAGE = Made("page of a report or a plan", b"<!DOCTYPE html>")
PICTURE = Made("picture of this program", b"<svg")
PDF = Made("PDF", b"%PDF-")


def may_be_there(path: Path) -> bool:
    """Whether there is something at a path; so too where nobody may look, since reading it then tells why."""
    try:
        return path.exists()
    except OSError:
        return True


def file_fault(path: Path, kind: str = "journal") -> str:
    """Why no file can be read at a path, in one line; nothing if it is a regular file."""
    try:
        if path.is_file():
            return ""
        if path.is_dir():
            return f"{safe(path)} is a folder: name a {kind} in it"
        if path.exists():
            return f"{safe(path)} is not a file: name a {kind}"
    except OSError as error:
        # A name that is too long, or a folder that nobody may look into.
        return f"{safe(path)}: {file_words(error)}"
    return f"{safe(path)}: there is no such {kind}"


def folder_fault(folder: Path | None) -> str:
    """Why a folder that was named holds no journals, in one line; nothing if none was named or it is there."""
    if folder is None or folder.is_dir():
        return ""
    return f"{safe(folder)} is not a folder: name the folder that the journals are in"


def output_fault(path: Path, made: Made | None = None) -> str:
    """Why a page, picture or list may not be written to a path, in one line; nothing if it may.

    A journal is never replaced, whatever its name: nothing else holds what is in it. With `made`, nothing is but
    what is of the same kind. A device is not a file either; the superuser would put the page in its place.
    """
    try:
        if path.is_dir():
            return f"{safe(path)} is a folder: name a file in it"
        if not path.parent.is_dir():
            return f"{safe(path.parent)} is not a folder: make it, or name another file"
        if path.suffix == SUFFIX:
            return f"{safe(path)} is a journal, which is never overwritten: name another file"
        if not path.exists():
            return ""
        if not path.is_file():
            return f"{safe(path)} is not a file: name another"
        with path.open("rb") as file:
            begins = file.read(64)
    except OSError as error:
        return f"{safe(path)}: {file_words(error)}"
    if begins.startswith(_JOURNAL_BEGINS):
        return f"{safe(path)} is a journal, which is never overwritten: name another file"
    if made and begins and not begins.startswith(made.begins):
        return f"{safe(path)} is there and is not a {made.kind}: name another file"
    return ""


def read_file(path: Path, most_bytes: int) -> bytes | str:
    """The bytes of a regular file, one more than allowed at most; or why it cannot be read, as a text.

    A pipe or a device would never end, so they are no files here.
    """
    try:
        if not path.is_file():
            return f"{safe(path)} is not a file" if path.exists() else f"there is no file {safe(path)}"
        with path.open("rb") as file:
            return file.read(most_bytes + 1)
    except (OSError, ValueError) as error:
        return f"{safe(path)} cannot be read ({safe(getattr(error, 'strerror', None) or error)})"
