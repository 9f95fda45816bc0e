"""Which session goes on at the next start: told by the last lines of the journals, never by their names.

A board without a clock chip begins every day at the same wrong minute, so the newest name may be an old session.
Within one boot the clock that never steps tells how long ago a line was written; else the wall clock has to do.
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterator
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path

from msgspec import Struct

from fieldtui.journal.card_events import CARD_KINDS
from fieldtui.journal.folder import IMPORTED, RESUMABLE, SUFFIX, is_finished, is_imported, pieces_from_the_end
from fieldtui.journal.stamp import Stamp

RESUMABLE_SECONDS = RESUMABLE.total_seconds()
NEAR_SECONDS = RESUMABLE_SECONDS + 24 * 3600
"""From now to when a file was written, to be looked into: a card from elsewhere may have its times in a local zone."""
MOST_NEAR, MOST_FAR = 32, 8
"""Journals that are looked into, of those written near to now, and of the oldest and the newest besides:
a clock that was set, or that has fallen back, makes today's file seem the oldest or the newest of all."""

_HEAD = re.compile(
    rb'\{"seq":\d+,"at":"([0-9T:.Z-]{24})","mono":(-?[0-9]{1,11}\.[0-9]{3}),"boot":"([^"\\]{0,64})",'
    rb'"kind":"([a-z-]{1,64})"'
)
_OF_CARDS = frozenset(kind.encode() for kind in CARD_KINDS)
"""Written long after the session; they say nothing about its time."""


class Unfinished(Struct, frozen=True):
    """A session that was not closed. `goes_on`: the next start resumes it by itself."""

    path: Path
    age_seconds: float
    """Since its last line; negative where that line is ahead of the clock, so that nobody knows."""
    goes_on: bool


class _Last(Struct, frozen=True):
    """The last line of a session."""

    path: Path
    stamp: Stamp
    age_seconds: float
    same_boot: bool

    @property
    def rank(self) -> tuple[float, bool, float]:
        """The nearest to now is the smallest; where times tie, this boot, then the later moment of one boot."""
        return abs(self.age_seconds), not self.same_boot, -self.stamp.mono_seconds


def unfinished(folder: Path, now: Stamp) -> Unfinished | None:
    """The session of a folder that goes on, else the last one if it was never closed; None if all are closed.

    It goes on if its last line is at most `RESUMABLE` away from now. A line that is further ahead of the clock proves
    one of both wrong: then the last session of all goes on, since a power cut must not part a day.

    Raises:
        OSError: the folder, or the journal that matters, cannot be read.
    """
    found = _nearest_first(folder, now)
    for last in found:
        if abs(last.age_seconds) <= RESUMABLE_SECONDS and _is_open(last.path):
            return Unfinished(last.path, last.age_seconds, goes_on=True)
    latest = _latest(found)
    if latest is None or not _is_open(latest.path):
        return None
    return Unfinished(latest.path, latest.age_seconds, goes_on=latest.age_seconds < RESUMABLE_SECONDS)


def newest(folder: Path, now: Stamp) -> Path | None:
    """The session to look at: the one that goes on, else the one that was written to last."""
    left = unfinished(folder, now)
    if left and left.goes_on:
        return left.path
    found = _nearest_first(folder, now)
    near = (
        last for last in found if abs(last.age_seconds) <= RESUMABLE_SECONDS and not is_imported(last.path)
    )
    latest = next(near, None) or _latest(found)
    return latest.path if latest else None


def _nearest_first(folder: Path, now: Stamp) -> list[_Last]:
    """Where all else ties, the tenth session of one minute stands before the second."""
    later_names = sorted(
        _last_lines(folder, now), key=lambda last: (len(last.path.name), last.path.name), reverse=True
    )
    return sorted(later_names, key=lambda last: last.rank)


def _latest(found: list[_Last]) -> _Last | None:
    """By the wall clocks, which are all there is; an import may have been renamed."""
    by_time = sorted(found, key=lambda last: last.stamp.at, reverse=True)
    return next((last for last in by_time if not is_imported(last.path)), None)


def _is_open(path: Path) -> bool:
    return not (is_finished(path) or is_imported(path))


def _last_lines(folder: Path, now: Stamp) -> Iterator[_Last]:
    for name, written_at in _worth_a_look(folder, now.at.timestamp()):
        path = folder / name
        stamp = _last_stamp(path, written_at)
        if stamp is None:
            continue
        same = stamp.boot == now.boot
        by_wall = (now.at - stamp.at).total_seconds()
        yield _Last(path, stamp, now.mono_seconds - stamp.mono_seconds if same else by_wall, same)


def _worth_a_look(folder: Path, now_seconds: float) -> list[tuple[str, float]]:
    """Journals and when they were written, so few of a thousand that a start need not wait for them."""
    found = sorted(_written(folder), key=lambda one: one[1])
    near = sorted(found, key=lambda one: abs(one[1] - now_seconds))[:MOST_NEAR]
    near = [one for one in near if abs(one[1] - now_seconds) <= NEAR_SECONDS]
    return list(dict.fromkeys((*near, *found[:MOST_FAR], *found[-MOST_FAR:])))


def _written(folder: Path) -> Iterator[tuple[str, float]]:
    try:
        entries = os.scandir(folder)
    except (FileNotFoundError, NotADirectoryError):
        return
    with entries:
        for entry in entries:
            if entry.name.endswith(SUFFIX) and not entry.name.startswith(IMPORTED):
                # One that is taken away meanwhile is none.
                with suppress(OSError):
                    if entry.is_file():
                        yield entry.name, entry.stat().st_mtime


def _last_stamp(path: Path, written_at: float) -> Stamp | None:
    """When the last line that is not of a card was written; None for a file that has no such line.

    An empty file is a session that is about to begin. What cannot be read is left to whoever needs it.
    """
    with suppress(OSError):
        if path.stat().st_size:
            return next(_stamps_from_the_end(path), None)
    return Stamp(datetime.fromtimestamp(written_at, UTC), 0.0, "")


def _stamps_from_the_end(path: Path) -> Iterator[Stamp]:
    for piece in pieces_from_the_end(path):
        end = len(piece)
        while end > 0:
            # A line feed inside a text is escaped, so every one begins a line.
            begin = piece.rfind(b"\n", 0, end)
            head = _HEAD.match(piece, begin + 1)
            if head and head[4] not in _OF_CARDS:
                with suppress(ValueError):
                    yield Stamp(datetime.fromisoformat(head[1].decode()), float(head[2]), head[3].decode())
            end = begin
