"""Reading the station file for the commands that can do without one."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct

from fieldtui.cli.files import may_be_there, read_file
from fieldtui.journal.events import PackStated, SessionOpened
from fieldtui.session.opening import opening_event
from fieldtui.station.fields import Station
from fieldtui.station.place import channels_path, station_path

if TYPE_CHECKING:
    from datetime import tzinfo

    from fieldtui.radio.channels.plan import Plan
    from fieldtui.radio.where.law import Law
    from fieldtui.session.state import SessionState


class StartError(Exception):
    """One line: why something cannot begin, and what to do."""


class LoadedStation(Struct, frozen=True):
    """A station, the file it came from, and the first thing wrong with that file, if any."""

    station: Station
    file: Path
    notice: str = ""

    def law(self, locator: str | None = None) -> Law:
        """Region, country and rule: as the file sets them, or as a locator (or else the file's) and the call say."""
        return law_of_station(self.station, locator)

    def opening(self, *, demo: bool = False) -> SessionOpened:
        """The first line of a journal of this station."""
        operator, place, law = self.station.operator, self.station.place, self.law()
        minutes = operator.interval_minutes
        return opening_event(
            station_call=operator.call,
            operator_call=operator.operator_call,
            place=place.name,
            locator=place.locator,
            rule=law.rule,
            region=law.region,
            region_from=law.region_from or None,
            rule_from=law.rule_from or None,
            interval_seconds=minutes * 60 if minutes else None,
            demo=demo,
        )


def law_of_station(station: Station, locator: str | None = None) -> Law:
    """Region, country and rule of a station: as set, or as a locator (or else its own) and its call say."""
    from fieldtui.radio.where.law import law_of  # noqa: PLC0415  (no start waits for it)

    operator = station.operator
    return law_of(operator.region, operator.rule, locator or station.place.locator, operator.call)


def law_in(state: SessionState, loaded: LoadedStation) -> Law:
    """What holds in the session of a journal, or would in one that begins now."""
    from fieldtui.session.law import law_now  # noqa: PLC0415  (no start waits for it)

    return law_now(state) if state.opened else loaded.law()


def stated_pack(station: Station, start_percent: float | None = None) -> PackStated | None:
    """What the station file says of the battery, and how full it is now, as a line of the journal; None without."""
    pack, radio = station.pack, station.radio
    if pack.chemistry is None or pack.amp_hours is None:
        return None
    return PackStated(
        chemistry=pack.chemistry,
        amp_hours=pack.amp_hours,
        cells=pack.cells,
        parallel=pack.parallel or 1,
        start_percent=start_percent,
        least_volts=radio.least_volts,
        transmit_amps=radio.transmit_amps,
    )


def load_station(named: Path | None) -> LoadedStation:
    """The named station file, or the user's if there is one, or an empty station.

    Raises:
        StartError: the file that was named cannot be read.
    """
    path = named or station_path()
    if named is None and not may_be_there(path):
        return LoadedStation(Station(), path)
    from fieldtui.station.reading import MOST_BYTES, read_station  # noqa: PLC0415  (only where there is a file)

    data = read_file(path, MOST_BYTES)
    if isinstance(data, str):
        raise StartError(f"station file: {data}")
    station, problems = read_station(data, path.name)
    return LoadedStation(station, path, problems[0].text if problems else "")


def own_zone() -> tzinfo | None:
    """The time zone of the user's station file; None, the machine's, where it names none or cannot be read."""
    from fieldtui.radio.local_time import zone_or_machine  # noqa: PLC0415  (no start waits for it)

    try:
        return zone_or_machine(load_station(None).station.screen.zone)
    except StartError:
        return None


def own_plan_path(named: Path | None, loaded: LoadedStation) -> Path | None:
    """The file of the user's own frequency plan; None where none is named."""
    channels = loaded.station.screen.channels
    return named or (channels_path(channels, loaded.file) if channels else None)


def own_plan(named: Path | None, loaded: LoadedStation) -> Plan | None:
    """The named frequency plan, or the station file's; None where neither names one.

    Raises:
        StartError: the file cannot be read.
    """
    path = own_plan_path(named, loaded)
    if path is None:
        return None
    from fieldtui.radio.channels.plan import MOST_BYTES, read_plan  # noqa: PLC0415  (only where there is a file)

    data = read_file(path, MOST_BYTES)
    if isinstance(data, str):
        raise StartError(f"frequency plan: {data}")
    return read_plan(data, path.name)


def plan_of(law: Law) -> Plan:
    """The published calling frequencies of a place, or an empty plan that says why."""
    from fieldtui.radio.channels.plan import default_plan  # noqa: PLC0415  (no start waits for it)

    return default_plan(law.region, law.area.code if law.area else None)
