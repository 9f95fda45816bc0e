"""Reading a passphrase from where it may stand: a file that nobody else can read."""

from __future__ import annotations

import os
import stat
from pathlib import Path

MOST_BYTES = 4096


def read_phrase(path: Path) -> str:
    """The first line of a file that belongs to this user alone.

    Raises:
        ValueError: it cannot be read, or others can read it too; one line with the remedy.
    """
    try:
        # Opened first and asked afterwards, so that it is the same file.
        descriptor = os.open(path, os.O_RDONLY | os.O_NONBLOCK | os.O_CLOEXEC)
    except OSError as error:
        raise ValueError(f"{path} cannot be read ({error.strerror})") from error
    try:
        _refuse_if_shared(path, os.fstat(descriptor))
        text = os.read(descriptor, MOST_BYTES).decode("utf-8")
    except UnicodeDecodeError as error:
        raise ValueError(f"{path} is not UTF-8 text") from error
    finally:
        os.close(descriptor)
    return text.partition("\n")[0].strip("\r")


def _refuse_if_shared(path: Path, told: os.stat_result) -> None:
    if not stat.S_ISREG(told.st_mode):
        raise ValueError(f"{path} is not a file")
    if told.st_mode & 0o077:
        raise ValueError(f"others can read {path}: chmod 600 {path}")
    if told.st_uid not in (os.geteuid(), 0):
        raise ValueError(f"{path} belongs to somebody else: make a file of your own")
