"""Reading the station file for the commands that can do without one."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from fieldtui.cli.tell import safe
from fieldtui.journal.errors import disk_words
from fieldtui.journal.events import SessionOpened
from fieldtui.session.opening import opening_event
from fieldtui.session.station import read_station
from fieldtui.session.station_fields import Station
from fieldtui.session.station_place import station_path


class StartError(Exception):
    """One line: why something cannot begin, and what to do."""


@dataclass(frozen=True, slots=True)
class LoadedStation:
    """A station, the file it came from, and the first thing wrong with that file, if any."""

    station: Station
    file: Path
    notice: str = ""

    def opening(self, *, demo: bool = False) -> SessionOpened:
        """The first line of a journal of this station."""
        operator, place = self.station.operator, self.station.place
        minutes = operator.interval_minutes
        return opening_event(
            station_call=operator.call,
            operator_call=operator.operator_call,
            place=place.name,
            locator=place.locator,
            rule=operator.rule or "us",
            interval_seconds=minutes * 60 if minutes else None,
            demo=demo,
        )


def load_station(named: Path | None) -> LoadedStation:
    """The named station file, or the user's if there is one, or an empty station.

    Raises:
        StartError: the file that was named cannot be read.
    """
    path = named or station_path()
    try:
        data = path.read_bytes()
    except OSError as error:
        if named is not None:
            raise StartError(f"station file {safe(path)}: {disk_words(error)}") from None
        return LoadedStation(Station(), path)
    station, problems = read_station(data, path.name)
    return LoadedStation(station, path, problems[0].text if problems else "")
