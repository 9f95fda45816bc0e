"""From options and files to what the session screen is started with."""

from __future__ import annotations

import argparse
import locale
import os
from datetime import datetime, timedelta
from pathlib import Path

from fieldtui.cli.tell import safe
from fieldtui.journal.errors import disk_words
from fieldtui.journal.events import SessionOpened
from fieldtui.journal.folder import fresh_path, is_finished, journal_folder, journals
from fieldtui.journal.stamp import SystemClock
from fieldtui.radio.channels import Plan, default_plan, read_plan
from fieldtui.screens.draw.glyphs import SETS, glyphs_for
from fieldtui.screens.settings import Settings, ShuntPort
from fieldtui.screens.theme_names import theme_for
from fieldtui.session.opening import opening_event

RESUMABLE = timedelta(hours=18)
"""An unfinished session older than this is yesterday's: it is named, not resumed by itself."""


class StartError(Exception):
    """One line: why the screen cannot be opened, and what to do."""


def screen_settings(
    options: argparse.Namespace,
    *,
    journal: Path,
    opening: SessionOpened,
    plan: Plan,
    theme: str | None = None,
) -> Settings:
    """What the screen's own options say; the rest keeps its defaults."""
    term = os.environ.get("TERM", "")
    encoding = locale.getpreferredencoding(do_setlocale=False)
    return Settings(
        journal=journal,
        opening=opening,
        plan=plan,
        glyphs=SETS[options.glyphs] if options.glyphs else glyphs_for(term, encoding),
        theme=theme_for(term, options.theme or theme),
        bell=not options.quiet,
    )


def settings_from(options: argparse.Namespace) -> Settings:
    """Everything for `fieldtui session`.

    Raises:
        StartError: a file that was named cannot be read.
    """
    plan = channel_plan(options.channels)
    opening = opening_event()
    journal, notice = choose_journal(options.journal, opening.place, new=options.new)
    settings = screen_settings(options, journal=journal, opening=opening, plan=plan)
    notices = tuple(filter(None, (notice, plan.problems[0].text if plan.problems else "")))
    shunt = ShuntPort(options.shunt, options.baud or 19200) if options.shunt else None
    return _with(settings, shunt=shunt, notices=notices)


def _with(settings: Settings, **changes: object) -> Settings:
    from dataclasses import replace  # noqa: PLC0415

    return replace(settings, **changes)  # type: ignore[arg-type]


def channel_plan(path: Path | None, region: int = 2) -> Plan:
    """The user's frequency plan, or the published calling frequencies."""
    if path is None:
        return default_plan(region)
    try:
        return read_plan(path.read_bytes(), path.name)
    except OSError as error:
        raise StartError(f"frequency plan {safe(path)}: {disk_words(error)}") from None


def choose_journal(named: Path | None, place: str | None, *, new: bool) -> tuple[Path, str]:
    """The journal to open, and what to say about the choice."""
    if named is not None:
        if not named.parent.is_dir():
            raise StartError(f"{safe(named.parent)} is no folder: make it, or name another --journal")
        return named, ""
    folder = journal_folder()
    now = SystemClock().now().at
    newest = next(reversed(journals(folder)), None)
    if newest is None or new or is_finished(newest):
        return fresh_path(folder, now, place), ""
    age = now - datetime.fromtimestamp(newest.stat().st_mtime, now.tzinfo)
    if age > RESUMABLE:
        return fresh_path(folder, now, place), f"{newest.name} was never closed: --journal resumes it"
    return newest, ""
