"""The folder of journals: where they are, what they are called, which one is unfinished."""

from __future__ import annotations

import os
import re
import unicodedata
from datetime import datetime
from pathlib import Path

SUFFIX = ".jsonl"
TAIL_BYTES = 64 * 1024
"""Enough for the lines after which nothing but telemetry can follow in a closed session."""


def journal_folder() -> Path:
    """`$FIELDTUI_JOURNALS`, or `fieldtui/journals` in the user's data folder."""
    if named := os.environ.get("FIELDTUI_JOURNALS"):
        return Path(named).expanduser()
    data = os.environ.get("XDG_DATA_HOME") or "~/.local/share"
    return Path(data).expanduser() / "fieldtui" / "journals"


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


def is_finished(path: Path) -> bool:
    """Whether the session of a journal was closed and not resumed, judged by its last lines only."""
    last = ""
    for kind in _last_kinds(path):
        if kind in ("session-closed", "session-resumed", "session-opened"):
            last = kind
    return last == "session-closed"


def _last_kinds(path: Path) -> list[str]:
    with path.open("rb") as file:
        file.seek(0, os.SEEK_END)
        file.seek(max(0, file.tell() - TAIL_BYTES))
        return [match.decode() for match in re.findall(rb'"kind":"([a-z-]{1,40})"', file.read())]
