"""Reading the user's files, never more than they may hold."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

from msgspec import Struct

from fieldtui.cli.output import complain, safe
from fieldtui.journal.errors import file_words
from fieldtui.journal.folder import SUFFIX

_JOURNAL_BEGINS = b'{"seq":'


class Made(Struct, frozen=True):
    """What a command writes: its kind for people, how such a file begins, and the mark by which it is our own."""

    kind: str
    begins: bytes
    mark: bytes


PAGE = Made("page", b"<!DOCTYPE html>", b'name="generator" content="fieldtui ')
PICTURE = Made("picture", b"<svg", b'data-made-by="fieldtui"')
PDF = Made("PDF", b"%PDF-", b"/Creator (fieldtui ")
_LOOKED_AT_BYTES = 64 * 1024
"""At each end of a file its mark is looked for."""


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


def output_fault(path: Path, made: Made | None = None, *, replace: bool = False) -> str:
    """Why a page, picture or list may not be written to a path, in one line; nothing if it may.

    The one rule for all that writes files: a journal is never replaced, whatever its name, since nothing else holds
    what is in it. What this program made, and bears its mark, is replaced. Anything else only with `replace`, and then
    it is kept beside: see `written`. A device is not a file; the superuser would put the page in its place.
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
        begins, own = _looked_at(path, made)
    except OSError as error:
        return f"{safe(path)}: {file_words(error)}"
    if begins.startswith(_JOURNAL_BEGINS):
        return f"{safe(path)} is a journal, which is never overwritten: name another file"
    if begins and not (own or replace):
        kind = made.kind if made else "file"
        return f"{safe(path)} is there, and not a {kind} of this program: name another, or add --replace (it is kept beside)"
    return ""


def _looked_at(path: Path, made: Made | None) -> tuple[bytes, bool]:
    """How a file begins, and whether it bears the mark of what this program makes."""
    with path.open("rb") as file:
        head = file.read(_LOOKED_AT_BYTES)
        size = file.seek(0, 2)
        file.seek(max(0, size - _LOOKED_AT_BYTES))
        ends = file.read(_LOOKED_AT_BYTES)
    own = made is not None and head.startswith(made.begins) and (made.mark in head or made.mark in ends)
    return head[:64], own


@contextmanager
def written(path: Path, made: Made | None = None) -> Iterator[BinaryIO]:
    """Give a file to write to; what was at `path` and is not of this program is kept beside it, and that is said.

    Whether it may be written is asked before: `output_fault`.

    Raises:
        OSError: nothing can be written there, or what is there cannot be kept; `path` is as it was.
    """
    from fieldtui.outputs.safe_file import keep_beside, write_safely  # noqa: PLC0415  (few commands write)

    kept: Path | None = None
    with write_safely(path) as file:
        yield file
        if path.exists():
            begins, own = _looked_at(path, made)
            kept = keep_beside(path) if begins and not own else None
    if kept:
        complain(f"what was in {safe(path)} is kept as {safe(kept)}")


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
