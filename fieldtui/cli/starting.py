"""From options and files to what the session screen is started with."""

from __future__ import annotations

import argparse
import locale
import os
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

from fieldtui.cli.stations import StartError, channel_plan, load_station
from fieldtui.cli.tell import safe
from fieldtui.journal.events import PackStated, SessionOpened
from fieldtui.journal.folder import fresh_path, is_finished, journal_folder, journals
from fieldtui.journal.stamp import SystemClock
from fieldtui.radio.channels import Plan
from fieldtui.screens.draw.glyphs import SETS, glyphs_for
from fieldtui.screens.keys import clashes, keys_of
from fieldtui.screens.settings import Settings, ShuntPort
from fieldtui.screens.theme_names import theme_for
from fieldtui.session.station_fields import Station

RESUMABLE = timedelta(hours=18)
"""An unfinished session older than this is yesterday's: it is named, not resumed by itself."""


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
    loaded = load_station(options.station)
    station = loaded.station
    plan = channel_plan(options.channels, loaded)
    journal, notice = choose_journal(options.journal, station.place.name, new=options.new)
    settings = screen_settings(
        options, journal=journal, opening=loaded.opening(), plan=plan, theme=station.screen.theme
    )
    radio = station.radio
    keys = dict(station.screen.keys)
    told = (notice, loaded.notice, *clashes(keys_of(keys)), plan.problems[0].text if plan.problems else "")
    step = radio.transmit_amps - (radio.receive_amps or 0.0) if radio.transmit_amps else None
    return replace(
        settings,
        shunt=_shunt(options, station),
        checks_clock=True,
        earlier_journals=journal_folder(),
        bell=settings.bell and station.screen.bell is not False,
        miles=station.screen.units == "mi",
        figures="itu" if station.screen.figures == "itu" else "english",
        keys=keys,
        usual_transmit_amps=step,
        watts=radio.watts,
        pack=_pack(options, station),
        licence=station.operator.licence,
        region=station.operator.region or 2,
        notices=tuple(filter(None, told)),
    )


def _pack(options: argparse.Namespace, station: Station) -> PackStated | None:
    pack, radio = station.pack, station.radio
    if pack.chemistry is None or pack.amp_hours is None:
        return None
    return PackStated(
        chemistry=pack.chemistry,
        amp_hours=pack.amp_hours,
        cells=pack.cells,
        parallel=pack.parallel or 1,
        start_percent=options.charge,
        least_volts=radio.least_volts,
        transmit_amps=radio.transmit_amps,
    )


def _shunt(options: argparse.Namespace, station: Station) -> ShuntPort | None:
    url = options.shunt or station.feeds.shunt
    if not url:
        return None
    return ShuntPort(
        url,
        options.baud or station.feeds.shunt_baud or 19200,
        "discharge" if station.feeds.amps_positive_is == "discharge" else "charge",
    )


def choose_journal(named: Path | None, place: str | None, *, new: bool) -> tuple[Path, str]:
    """The journal to open, and what to say about the choice."""
    if named is not None:
        if named.exists() and not named.is_file():
            raise StartError(f"{safe(named)} is no file: name a journal")
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
