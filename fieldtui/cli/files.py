"""Reading the user's files, never more than they may hold."""

from __future__ import annotations

from pathlib import Path

from fieldtui.cli.tell import safe


def read_file(path: Path, most_bytes: int) -> bytes | str:
    """The bytes of a regular file, one more than allowed at most; or why it cannot be read, as a text.

    A pipe or a device would never end, so they are no files here.
    """
    try:
        if not path.is_file():
            return f"{safe(path)} is no file" if path.exists() else f"there is no file {safe(path)}"
        with path.open("rb") as file:
            return file.read(most_bytes + 1)
    except (OSError, ValueError) as error:
        return f"{safe(path)} cannot be read ({safe(getattr(error, 'strerror', None) or error)})"
