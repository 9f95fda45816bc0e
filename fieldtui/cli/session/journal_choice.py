"""Which journal a session goes on with, or begins."""

from __future__ import annotations

from pathlib import Path

from msgspec import Struct

from fieldtui.cli.output import safe
from fieldtui.cli.session.planned_start import Waiting, waiting_plan
from fieldtui.cli.station_loading import StartError
from fieldtui.journal.folder import fresh_path, is_imported, journal_folder, may_be_journal
from fieldtui.journal.stamp import SystemClock
from fieldtui.journal.unfinished import RESUMABLE_SECONDS, newest, unfinished


class Begun(Struct, frozen=True):
    """The journal, the plan that it takes when it is opened, and what to say about the choice."""

    journal: Path
    waiting: Waiting = Waiting()
    notice: str = ""


def begin(named: Path | None, place: str | None, *, watch: bool, new: bool) -> Begun:
    """Choose the journal to watch, or that to write.

    Raises:
        StartError: what was named cannot be a journal, or there is none to watch.
    """
    if watch:
        return Begun(journal_to_watch(named))
    journal, notice = choose_journal(named, place, new=new)
    return Begun(journal, waiting_plan(journal), notice)


def journal_to_watch(named: Path | None) -> Path:
    """The named journal, which may still be to come, or the newest of the folder.

    Raises:
        StartError: there is none yet.
    """
    found = named or newest(journal_folder(), SystemClock().now())
    if found is None:
        raise StartError("there is no journal to watch yet: name the one to come with --journal")
    return found


def choose_journal(named: Path | None, place: str | None, *, new: bool) -> tuple[Path, str]:
    """The journal to open, and what to say about the choice."""
    if named is not None:
        if named.exists() and not named.is_file():
            raise StartError(f"{safe(named)} is not a file: name a journal")
        if not named.parent.is_dir():
            raise StartError(f"{safe(named.parent)} is not a folder: make it, or name another --journal")
        if new and named.exists():
            raise StartError(
                f"{safe(named)} is there already, and --new begins a new one: leave one of them out"
            )
        if not may_be_journal(named):
            raise StartError(f"{safe(named)} is not a journal of this program: name another --journal")
        if is_imported(named):
            raise StartError(f"{safe(named)} holds imported contacts, no session: name another --journal")
        return named, ""
    folder = journal_folder()
    now = SystemClock().now()
    left = None if new else unfinished(folder, now)
    if left is None:
        return fresh_path(folder, now.at, place), ""
    if not left.goes_on:
        return fresh_path(folder, now.at, place), f"{left.path.name} was never closed: --journal resumes it"
    ahead = left.age_seconds < -RESUMABLE_SECONDS
    return left.path, "the clock is behind: see --new" if ahead else ""
