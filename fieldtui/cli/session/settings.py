"""From options and files to what the session screen is started with."""

from __future__ import annotations

import argparse
import locale
import os
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec.structs import replace

from fieldtui.cli.output import safe
from fieldtui.cli.port_use import MODEM, RECEIVER, PortUse, ports_of, raised, section_of
from fieldtui.cli.sending_switch import sending_closed
from fieldtui.cli.session.battery_ports import meters
from fieldtui.cli.session.planned_start import Waiting, waiting_plan
from fieldtui.cli.station_loading import (
    LoadedStation,
    StartError,
    load_station,
    own_plan,
    own_plan_path,
    plan_of,
    stated_pack,
)
from fieldtui.journal.events import SessionOpened
from fieldtui.journal.folder import fresh_path, is_imported, journal_folder, may_be_journal
from fieldtui.journal.stamp import SystemClock
from fieldtui.journal.unfinished import RESUMABLE_SECONDS, newest, unfinished
from fieldtui.live.ports import PacketPort, ReceiverPort
from fieldtui.radio.where.law import NOTHING
from fieldtui.screens.draw.glyphs import SETS, glyphs_for
from fieldtui.screens.keys import clashes
from fieldtui.screens.settings import Settings
from fieldtui.screens.theme_names import PLAIN, theme_for
from fieldtui.station.fields import Station

if TYPE_CHECKING:
    from fieldtui.radio.channels.plan import Plan

USUAL_BAUD = 9600
"""Of position receivers and of packet modems."""


def screen_settings(
    options: argparse.Namespace,
    *,
    journal: Path,
    opening: SessionOpened,
    plan_source: Callable[[], Plan],
    theme: str | None = None,
) -> Settings:
    """What the screen's own options say; the rest keeps its defaults."""
    term = os.environ.get("TERM", "")
    encoding = locale.getpreferredencoding(do_setlocale=False)
    return Settings(
        journal=journal,
        opening=opening,
        plan_source=plan_source,
        glyphs=SETS[options.glyphs] if options.glyphs else glyphs_for(term, encoding),
        # NO_COLOR is a wish of the environment: what is named in the call wins, the station file does not.
        theme=theme_for(term, options.theme or (PLAIN if os.environ.get("NO_COLOR") else theme)),
        bell=not options.quiet,
    )


def settings_from(options: argparse.Namespace) -> Settings:
    """Everything for `fieldtui session`.

    Raises:
        StartError: a file that was named cannot be read.
    """
    loaded = load_station(options.station)
    station = loaded.station
    plan, trouble = _plan_source(options.channels, loaded)
    if options.watch:
        journal, notice = journal_to_watch(options.journal), ""
    else:
        journal, notice = choose_journal(options.journal, station.place.name, new=options.new)
    waiting = Waiting() if options.watch else waiting_plan(journal)
    opening = waiting.opening(loaded.opening())
    settings = screen_settings(
        options, journal=journal, opening=opening, plan_source=plan, theme=station.screen.theme
    )
    radio = station.radio
    keys = dict(station.screen.keys)
    use = ports_of(station, shunt=options.shunt, gps=options.gps, packet=options.packet)
    # The line shows the first: what keeps something from being opened or ordered goes before the rest.
    told = (
        *use.refused.values(),
        *clashes(keys),
        notice,
        loaded.notice,
        trouble,
        waiting.notice,
        _assumed(loaded),
    )
    step = radio.transmit_amps - (radio.receive_amps or 0.0) if radio.transmit_amps else None
    shunt, others = meters(options, station, use)
    return replace(
        settings,
        watch=options.watch,
        kit=station.kit.items,
        planned=waiting.events,
        waiting_plan=waiting.file,
        shunt=shunt,
        receiver=_receiver(options, station, use),
        modem=_modem(options, loaded, use),
        other_meters=others,
        checks_clock=True,
        earlier_journals=journal_folder(),
        bell=settings.bell and station.screen.bell is not False,
        saver=options.saver or bool(station.screen.saver),
        miles=station.screen.units == "mi",
        figures="itu" if station.screen.figures == "itu" else "english",
        keys=keys,
        usual_transmit_amps=step,
        watts=station.watts,
        pack=stated_pack(station, options.charge),
        licence=station.operator.licence,
        plan_at=plan_of if own_plan_path(options.channels, loaded) is None else None,
        notices=tuple(filter(None, told)),
    )


def _plan_source(named: Path | None, loaded: LoadedStation) -> tuple[Callable[[], Plan], str]:
    """What gives the frequency plan, and what is wrong with the plan. A file of the user's is read at once."""
    read = own_plan(named, loaded)
    if read is None:
        return partial(plan_of, loaded.law()), ""
    return (lambda: read), read.problems[0].text if read.problems else ""


def _assumed(loaded: LoadedStation) -> str:
    """What of Region and rule nobody set, where it is not what the program assumes of everybody."""
    law = loaded.law()
    usual = law.under_us_rules and law.region == 2 and law.region_from != NOTHING and not law.doubts
    return "" if usual else "; ".join(filter(None, (*law.doubts, law.brief)))


def _receiver(options: argparse.Namespace, station: Station, use: PortUse) -> ReceiverPort | None:
    feeds, section = station.feeds, section_of(use, RECEIVER)
    url = options.gps or feeds.gps
    if not url or section in use.refused:
        return None
    lines = raised(feeds.gps_lines, url, feeds.gps)
    return ReceiverPort(url, feeds.gps_baud or USUAL_BAUD, lines=lines, others=use.before(section))


def _modem(options: argparse.Namespace, loaded: LoadedStation, use: PortUse) -> PacketPort | None:
    station, section = loaded.station, section_of(use, MODEM)
    packet, call = station.packet, station.operator.call
    url = options.packet or station.feeds.packet
    if not url or section in use.refused:
        return None
    return PacketPort(
        url,
        packet.baud or USUAL_BAUD,
        lambda: packet.own(call),
        partial(sending_closed, loaded.file, began_on=bool(packet.may_send), call=call),
        lines=raised(packet.lines, url, station.feeds.packet),
        others=use.before(section),
    )


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
