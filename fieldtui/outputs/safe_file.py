"""A file that is either whole or not there: written beside its name, synced, then moved onto it."""

from __future__ import annotations

import errno
import fcntl
import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import BinaryIO

from fieldtui.journal.made_folder import sync_folder

PART_PREFIX, PART_SUFFIX = ".fieldtui-", ".part"
"""Begin and end the name of a file that is being written."""
KEPT = ".before-"
"""Between the name of a file that was replaced and the number under which the earlier one is kept."""
_MOST_KEPT = 10_000
_USUAL_MODE = 0o666


@contextmanager
def write_safely(path: Path, *, private: bool = False) -> Iterator[BinaryIO]:
    """Give a file to write to; it becomes `path` when the block ends, and is dropped when the block raises.

    What was at `path` before stays until then. A symbolic link is followed, so that the file that it names is
    the one that changes. With `private` a new file can be read by its owner alone.

    Raises:
        OSError: nothing can be written there; `path` is as it was.
    """
    target = path.resolve()
    clear_leftovers(target.parent)
    descriptor, name = tempfile.mkstemp(prefix=PART_PREFIX, suffix=PART_SUFFIX, dir=target.parent)
    try:
        with os.fdopen(descriptor, "wb") as file:
            # Held while it is written: what nobody holds was left by a power cut.
            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
            yield file
            file.flush()
            os.fchmod(file.fileno(), _mode_of(target, private=private))
            os.fsync(file.fileno())
            Path(name).replace(target)
            # Once more: on FAT a rename changes what stands of the file in its folder, and only this puts it there.
            with suppress(OSError):
                os.fsync(file.fileno())
    except BaseException:
        with suppress(OSError):
            Path(name).unlink()
        raise
    sync_folder(target.parent)


def _mode_of(target: Path, *, private: bool) -> int:
    """The permissions of the file that is replaced, or those that a new file gets."""
    try:
        return target.stat().st_mode & 0o777
    except OSError:
        mask = os.umask(0)
        os.umask(mask)
        return 0o600 if private else _USUAL_MODE & ~mask


def leftovers(folder: Path) -> list[Path]:
    """Half-written files that a power cut left in a folder: nobody holds them."""
    with suppress(OSError):
        return sorted(path for path in folder.glob(f"{PART_PREFIX}*{PART_SUFFIX}") if _is_left(path))
    return []


def clear_leftovers(folder: Path) -> None:
    """Remove what a power cut left; what cannot be removed stays, and is told by whoever looks for it."""
    for path in leftovers(folder):
        with suppress(OSError):
            path.unlink()


def _is_left(path: Path) -> bool:
    try:
        descriptor = os.open(path, os.O_RDONLY | os.O_CLOEXEC | os.O_NOFOLLOW | os.O_NONBLOCK)
    except OSError:
        return False
    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    finally:
        os.close(descriptor)
    return True


def keep_beside(path: Path) -> Path:
    """Copy a file to `NAME.before-1`, or the first number that is free; nothing is ever written over.

    Raises:
        OSError: it cannot be kept; then it must not be replaced either.
    """
    target = path.resolve()
    for number in range(1, _MOST_KEPT):
        kept = target.with_name(f"{target.name}{KEPT}{number}")
        try:
            descriptor = os.open(kept, os.O_WRONLY | os.O_CREAT | os.O_EXCL | os.O_CLOEXEC, 0o600)
        except FileExistsError:
            continue
        try:
            with os.fdopen(descriptor, "wb") as copy, target.open("rb") as original:
                shutil.copyfileobj(original, copy)
                copy.flush()
                os.fchmod(copy.fileno(), target.stat().st_mode & 0o777)
                os.fsync(copy.fileno())
        except BaseException:
            with suppress(OSError):
                kept.unlink()
            raise
        sync_folder(kept.parent)
        return kept
    raise OSError(errno.EEXIST, f"{_MOST_KEPT} earlier files are kept beside it")
