"""Looks at where the journals go: can they be written, will they still be there tomorrow, is there room."""

from __future__ import annotations

import os
import re
import tempfile
from collections.abc import Iterator
from pathlib import Path

from fieldtui.cli.check.findings import Finding, look, missing, ok
from fieldtui.cli.output import safe
from fieldtui.journal.errors import disk_words, file_words
from fieldtui.journal.folder import journal_folder, journals
from fieldtui.journal.stamp import SystemClock
from fieldtui.journal.unfinished import unfinished

LEAST_BYTES = 32 * 1024 * 1024
FEW_BYTES = 256 * 1024 * 1024
"""A long day with a shunt is a few megabytes (measured: the demo's outing). The rest is common practice, no source."""
LEAST_FILES, FEW_FILES = 16, 1000
IN_MEMORY = ("tmpfs", "ramfs", "devtmpfs")
DOUBTFUL = {
    "overlay": "an overlay: where the root is read only, what is written is gone at power-off",
    "nfs": "on another machine: not there without its network",
    "nfs4": "on another machine: not there without its network",
    "cifs": "on another machine: not there without its network",
    "9p": "on another machine: not there without its network",
    "vfat": "a file system without a record of what it was doing: a power cut can damage all of it",
    "exfat": "a file system without a record of what it was doing: a power cut can damage all of it",
}
WRITEBACK = "data=writeback"
MOUNTS = Path("/proc/self/mountinfo")
_OCTAL = re.compile(r"\\([0-7]{3})")


def disk_findings(folder: Path | None = None, mounts: Path = MOUNTS) -> Iterator[Finding]:
    """Everything about the folder of journals."""
    folder = folder or journal_folder()
    try:
        journals(folder)
        there = _nearest(folder)
    except OSError as error:
        do = "mend that, or name another folder: FIELDTUI_JOURNALS=DIR"
        yield missing("journals", f"{safe(folder)}: {file_words(error)}", do)
        return
    yield _writable(folder, there)
    yield _kind(folder, there, mounts)
    yield from _room(there)
    yield from _unfinished(folder)
    yield from _left_over(folder)


def _left_over(folder: Path) -> Iterator[Finding]:
    """What a power cut, or an ended program, left half written."""
    from fieldtui.outputs.safe_file import leftovers  # noqa: PLC0415  (only here)

    found = [*leftovers(folder), *folder.glob("*.part"), *folder.glob("*.fresh")]
    names = sorted({path.name for path in found})
    if names:
        words = f"{len(names)} half-written, left by a power cut: {safe(', '.join(names[:3]))}"
        yield look("leftovers", words, f"nothing of them counts; delete them in {safe(folder)}")


def _nearest(folder: Path) -> Path:
    """The folder itself, or the nearest one above it that is there."""
    return next((path for path in (folder, *folder.parents) if path.exists()), Path("/"))


def _writable(folder: Path, there: Path) -> Finding:
    try:
        # Asking for the right is not enough: a card that failed is read only whatever the rights say.
        with tempfile.TemporaryFile(dir=there, prefix=".fieldtui-check-") as file:
            file.write(b"\n")
            file.flush()
            os.fsync(file.fileno())
    except OSError as error:
        what = disk_words(error).partition(":")[0]
        do = "make it writable, or name another folder: FIELDTUI_JOURNALS=DIR"
        return missing("journals", f"{safe(there)}: {what}", do)
    words = "can be written" if there == folder else "is not there yet, and can be made"
    return ok("journals", f"{safe(folder)} {words}")


def _kind(folder: Path, there: Path, mounts: Path) -> Finding:
    kind = file_system(there.resolve(), mounts)
    if kind is None:
        return look(
            "file system", "this system does not tell what kind it is", "see that it is on a disk or card"
        )
    if kind in IN_MEMORY:
        return missing(
            "file system",
            f"{safe(folder)} is in memory ({safe(kind)}): all of it is gone at power-off",
            "name a folder on a disk or card: FIELDTUI_JOURNALS=DIR",
        )
    if WRITEBACK in mount_options(there.resolve(), mounts):
        words = f"{safe(kind)} mounted with {WRITEBACK}: a power cut may leave old blocks in a file that was being written"
        return look(
            "file system",
            words,
            "mount it without that option, or FIELDTUI_JOURNALS=DIR names another folder",
        )
    if doubt := DOUBTFUL.get(kind):
        return look("file system", f"{safe(kind)}, {doubt}", "FIELDTUI_JOURNALS=DIR names another folder")
    return ok("file system", safe(kind))


def file_system(path: Path, mounts: Path = MOUNTS) -> str | None:
    """The kind of file system that holds an absolute path, by the kernel's list (proc(5), mountinfo)."""
    return _mount(path, mounts)[0]


def mount_options(path: Path, mounts: Path = MOUNTS) -> frozenset[str]:
    """The options of the file system that holds an absolute path, such as `data=writeback` (ext4(5))."""
    return _mount(path, mounts)[1]


def _mount(path: Path, mounts: Path) -> tuple[str | None, frozenset[str]]:
    try:
        lines = mounts.read_text("utf-8", "surrogateescape").splitlines()
    except OSError:
        return None, frozenset()
    best: tuple[int, str | None, str] = (-1, None, "")
    for line in lines:
        before, _, after = line.partition(" - ")
        fields = before.split(" ")
        if len(fields) < 5 or not after:
            continue
        point = Path(_OCTAL.sub(lambda match: chr(int(match[1], 8)), fields[4]))
        # Of two on the same place the later lies above the earlier.
        if path.is_relative_to(point) and len(point.parts) >= best[0]:
            kind, _, more = after.partition(" ")
            best = len(point.parts), kind, more.rpartition(" ")[2]
    return best[1], frozenset(best[2].split(","))


def _room(there: Path) -> Iterator[Finding]:
    told = os.statvfs(there)
    free, files = told.f_bavail * told.f_frsize, told.f_favail
    words = f"{free / 1e6:.0f} MB free"
    if free < LEAST_BYTES:
        yield missing("free space", words, "delete something, or name another folder: FIELDTUI_JOURNALS=DIR")
    elif free < FEW_BYTES:
        yield look("free space", words, "enough for a day; delete something soon")
    else:
        yield ok("free space", words)
    # Some file systems make room for files as they need it, and tell none.
    if told.f_files and files < FEW_FILES:
        finding = missing if files < LEAST_FILES else look
        yield finding(
            "files", f"only {files} more files can be made", "delete small files (inodes are used up)"
        )


def _unfinished(folder: Path) -> Iterator[Finding]:
    try:
        left = unfinished(folder, SystemClock().now())
    except OSError as error:
        yield missing(
            "session", f"a journal cannot be read: {file_words(error)}", "fieldtui verify tells more"
        )
        return
    if left is None:
        yield ok("session", "none is unfinished")
        return
    name, hours = safe(left.path.name), left.age_seconds / 3600
    written = (
        f"last written {hours:.1f} h ago" if hours >= 0 else "last written later than the clock here stands"
    )
    if left.goes_on:
        yield look(
            "session",
            f"{name} is unfinished, {written}: the next start goes on with it",
            "--new begins again",
        )
    else:
        yield look("session", f"{name} was never closed, {written}", f"--journal {name} goes on with it")
