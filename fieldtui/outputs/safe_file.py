"""A file that is either whole or not there: written beside its name, synced, then moved onto it."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import BinaryIO

PART_SUFFIX = ".part"
"""Ends the name of a file that is being written."""
_USUAL_MODE = 0o666


@contextmanager
def write_safely(path: Path) -> Iterator[BinaryIO]:
    """Give a file to write to; it becomes `path` when the block ends, and is dropped when the block raises.

    What was at `path` before stays until then. A symbolic link is followed, so that the file that it names is
    the one that changes.

    Raises:
        OSError: nothing can be written there; `path` is as it was.
    """
    target = path.resolve()
    descriptor, name = tempfile.mkstemp(prefix=".fieldtui-", suffix=PART_SUFFIX, dir=target.parent)
    try:
        with os.fdopen(descriptor, "wb") as file:
            yield file
            file.flush()
            os.fchmod(file.fileno(), _mode_of(target))
            os.fsync(file.fileno())
        Path(name).replace(target)
    except BaseException:
        with suppress(OSError):
            Path(name).unlink()
        raise
    _sync_folder(target.parent)


def _mode_of(target: Path) -> int:
    """The permissions of the file that is replaced, or those that a new file gets."""
    try:
        return target.stat().st_mode & 0o777
    except OSError:
        mask = os.umask(0)
        os.umask(mask)
        return _USUAL_MODE & ~mask


def _sync_folder(folder: Path) -> None:
    """The new name survives a power cut only once its folder is on the disk; some file systems refuse that."""
    with suppress(OSError):
        descriptor = os.open(folder, os.O_RDONLY | os.O_DIRECTORY | os.O_CLOEXEC)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)
