"""Folders that the program makes: private, and on the disk with their names before anything is kept in them."""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path

PRIVATE_FOLDER = 0o700
"""What is kept tells where somebody is and lives: others are let in by whoever wants them in."""


def make_folder(folder: Path, sync: bool = True) -> None:
    """Make a folder and those above it that are missing; each name is synced where it stands.

    A name that is not synced may be gone after a power cut, and with it all that was synced below.

    Raises:
        OSError: it cannot be made.
    """
    missing = []
    for each in (folder, *folder.parents):
        if each.is_dir():
            break
        missing.append(each)
    for each in reversed(missing):
        with suppress(FileExistsError):
            each.mkdir(PRIVATE_FOLDER)
        if sync:
            sync_folder(each.parent)
    if not folder.is_dir():
        folder.mkdir(PRIVATE_FOLDER)  # says what stands there instead


def sync_folder(folder: Path) -> None:
    """The names in a folder survive a power cut only once it is on the disk; some file systems refuse that."""
    with suppress(OSError):
        descriptor = os.open(folder, os.O_RDONLY | os.O_DIRECTORY | os.O_CLOEXEC)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)


def sync_again(path: Path) -> None:
    """Sync a file once more after its rename: on FAT that changes what stands of the file in its folder."""
    descriptor = os.open(path, os.O_RDONLY | os.O_CLOEXEC)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
