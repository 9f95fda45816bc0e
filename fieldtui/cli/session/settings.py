"""From options and files to what the session screen is started with."""

from __future__ import annotations

import argparse
import locale
import os
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec.structs import replace

from fieldtui.cli.port_use import PortUse, ports_of
from fieldtui.cli.session.battery_ports import meters
from fieldtui.cli.session.journal_choice import Begun, begin
from fieldtui.cli.session.radio_ports import modem, receiver
from fieldtui.cli.station_loading import (
    LoadedStation,
    load_station,
    own_plan,
    own_plan_path,
    plan_of,
    stated_pack,
)
from fieldtui.journal.events import SessionOpened
from fieldtui.journal.folder import journal_folder
from fieldtui.radio.where.law import NOTHING
from fieldtui.screens.draw.glyphs import SETS, glyphs_for
from fieldtui.screens.keys import clashes
from fieldtui.screens.settings import Settings
from fieldtui.screens.theme_names import PLAIN, theme_for
from fieldtui.station.fields import Screen, Station

if TYPE_CHECKING:
    from fieldtui.radio.channels.plan import Plan


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


def _use_zone(name: str | None) -> None:
    """Show the wall clock of the station file's zone beside UTC in the whole program; nothing is recorded by it."""
    if name is not None:
        os.environ["TZ"] = name
        time.tzset()


def settings_from(options: argparse.Namespace) -> Settings:
    """Everything for `fieldtui session`.

    Raises:
        StartError: a file that was named cannot be read.
    """
    loaded = load_station(options.station)
    station = loaded.station
    _use_zone(station.screen.zone)
    plan, trouble = _plan_source(options.channels, loaded)
    begun = begin(options.journal, station.place.name, watch=options.watch, new=options.new)
    settings = screen_settings(
        options,
        journal=begun.journal,
        opening=begun.waiting.opening(loaded.opening()),
        plan_source=plan,
        theme=station.screen.theme,
    )
    use = ports_of(station, shunt=options.shunt, gps=options.gps, packet=options.packet)
    settings = _with_journal(settings, begun, watch=options.watch)
    settings = _with_screen(settings, station.screen, saver=options.saver)
    settings = _with_station(settings, station, options.charge)
    settings = _with_ports(settings, options, loaded, use)
    settings = _with_changes(settings, loaded)
    # The line shows the first: what keeps something from being opened or ordered goes before the rest.
    told = (
        *use.refused.values(),
        *clashes(settings.keys),
        begun.notice,
        loaded.notice,
        trouble,
        begun.waiting.notice,
        _assumed(loaded),
    )
    plan_at = plan_of if own_plan_path(options.channels, loaded) is None else None
    return replace(settings, plan_at=plan_at, notices=tuple(filter(None, told)))


def _with_journal(settings: Settings, begun: Begun, *, watch: bool) -> Settings:
    """Where lines go, what was planned for it, and what earlier journals know."""
    return replace(
        settings,
        watch=watch,
        planned=begun.waiting.events,
        waiting_plan=begun.waiting.file,
        checks_clock=True,
        earlier_journals=journal_folder(),
    )


def _with_screen(settings: Settings, screen: Screen, *, saver: bool) -> Settings:
    """Table `screen` of the station file: how things are shown, said and typed."""
    return replace(
        settings,
        bell=settings.bell and screen.bell is not False,
        saver=saver or bool(screen.saver),
        miles=screen.units == "mi",
        figures="itu" if screen.figures == "itu" else "english",
        keys=dict(screen.keys),
    )


def _with_station(settings: Settings, station: Station, charge: float | None) -> Settings:
    """Tables `operator`, `radio`, `pack` and `kit`: who operates, and with what."""
    radio = station.radio
    step = radio.transmit_amps - (radio.receive_amps or 0.0) if radio.transmit_amps else None
    return replace(
        settings,
        licence=station.operator.licence,
        usual_transmit_amps=step,
        watts=station.watts,
        pack=stated_pack(station, charge),
        kit=station.kit.items,
    )


def _with_changes(settings: Settings, loaded: LoadedStation) -> Settings:
    """What the page of settings needs: the file that keeps them, and the Region that it sets."""
    return replace(settings, station_file=loaded.file, region=loaded.station.operator.region)


def _with_ports(
    settings: Settings, options: argparse.Namespace, loaded: LoadedStation, use: PortUse
) -> Settings:
    """Tables `feeds`, `modbus` and `packet`: what is read, and from which port."""
    shunt, others = meters(options, loaded.station, use)
    return replace(
        settings,
        shunt=shunt,
        other_meters=others,
        receiver=receiver(options, loaded.station, use),
        modem=modem(options, loaded, use),
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
