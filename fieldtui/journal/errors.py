"""What can go wrong with a journal.

JournalError
├── JournalBusyError      another program holds the lock
├── NotSavedError         the disk did not take the lines; they are still in memory
├── OutOfBoundsError       a line could not be read again, so it is not written
└── NotAJournalError      the file is something else
"""

from __future__ import annotations

import errno


class JournalError(Exception):
    """One clear line: what is wrong and what to do."""


class JournalBusyError(JournalError):
    """Another program holds the lock for too long."""


class NotSavedError(JournalError):
    """The disk did not take the lines."""


class OutOfBoundsError(JournalError):
    """What an event holds is out of the bounds of a line; it was not written."""


class NotAJournalError(JournalError):
    """The file holds something else, and is left alone."""


_REMEDIES = {
    errno.ENOSPC: "the disk is full: delete something",
    errno.EDQUOT: "your share of the disk is full: delete something",
    errno.EFBIG: "the file may not grow further: raise the limit (ulimit -f)",
    errno.EROFS: "the disk is read-only: a failing card does this; mount it again or name another --journal",
    errno.EACCES: "no permission to write there: name another --journal",
    errno.EPERM: "no permission to write there: name another --journal",
    errno.EIO: "the disk fails (input/output error): name another --journal on another disk",
    errno.ENOENT: "the folder is gone: put it back or name another --journal",
    errno.EISDIR: "that is a folder: name a file",
    errno.ENOTDIR: "a part of that path is a file, not a folder",
    errno.ENAMETOOLONG: "that file name is too long",
}


def disk_words(error: OSError) -> str:
    """What an operating system error means for the person who types, with the remedy."""
    return _REMEDIES.get(error.errno or 0) or f"the disk says: {error.strerror or error}"


def file_words(error: OSError) -> str:
    """The same of a file that is only read, or is not a journal."""
    if error.errno in (errno.EACCES, errno.EPERM):
        return "no permission: look at the rights of the file and of its folder (ls -l)"
    if error.errno == errno.ENOENT:
        return "it is not there, or its folder is gone"
    return disk_words(error).replace("another --journal", "another file")


def disk_failing(error: Exception) -> bool:
    """Whether the disk itself gave up, so that it has to be mounted again before it takes anything."""
    cause = error if isinstance(error, OSError) else error.__cause__
    return isinstance(cause, OSError) and cause.errno in (errno.EROFS, errno.EIO)
