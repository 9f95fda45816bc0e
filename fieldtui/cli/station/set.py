"""`fieldtui station set`: one value of the station file, shown or changed; all else in the file stays."""

from __future__ import annotations

from pathlib import Path

from fieldtui.cli.exits import CALL_AT_FAULT, DATA_AT_FAULT, DONE
from fieldtui.cli.files import may_be_there, read_file
from fieldtui.cli.output import complain, print_blocks, safe
from fieldtui.outputs.station_file import Check, change_station, failure_words, value_in
from fieldtui.radio.outside_text import RefusedError
from fieldtui.station.naming import setting_named
from fieldtui.station.reading import MOST_BYTES, Station, read_station
from fieldtui.station.setting import Setting
from fieldtui.station.settings import SETTINGS
from fieldtui.station.writing import shown_value


def set_station(path: Path, name: str | None, words: list[str], check: Check, *, unset: bool) -> int:
    """Change a key, show it where no value is given, or list all keys where none is named; returns the exit code."""
    try:
        setting = None if name is None else setting_named(name, _actions())
        station = _changed(path, setting, words, check, unset=unset)
    except RefusedError as error:
        complain(f"station set: {safe(error)}")
        return CALL_AT_FAULT
    if isinstance(station, OSError):
        complain(f"station set: {safe(failure_words(path, station))}")
        return DATA_AT_FAULT
    if setting is None or station is None:
        return _show(path, setting)
    print(f"{setting.name} is {shown_value(value_in(station, setting))}, in {safe(path)}")
    return DONE


def _changed(
    path: Path, setting: Setting | None, words: list[str], check: Check, *, unset: bool
) -> Station | OSError | None:
    """The station after the change, why the disk does not take it, or None where nothing is to be changed."""
    if setting is None or not (words or unset):
        return None
    try:
        return change_station(path, setting, None if unset else " ".join(words), check)
    except OSError as error:
        return error


def _actions() -> list[str]:
    """What a key of the keyboard can do."""
    from fieldtui.screens.keys import ACTIONS, PAGES  # noqa: PLC0415  (for this alone)

    return [action.name for action in (*ACTIONS, *(each for page in PAGES.values() for each in page))]


def _show(path: Path, setting: Setting | None) -> int:
    data = read_file(path, MOST_BYTES) if may_be_there(path) else b""
    if isinstance(data, str):
        complain(f"station set: {data}")
        return CALL_AT_FAULT
    station, _ = read_station(data, path.name)
    if setting is None:
        _list(station)
        return DONE
    print(f"{setting.name} is {shown_value(value_in(station, setting))}")
    print(f"  {setting.comment}")
    print(f"  allowed: {setting.read.accepts}; --unset takes it out")
    return DONE


def _list(station: Station) -> None:
    from fieldtui.outputs.page.blocks import Column, Row, Table  # noqa: PLC0415  (only for people)

    rows = [Row((each.name, shown_value(value_in(station, each)), each.read.accepts)) for each in SETTINGS]
    columns = (Column("key"), Column("value", long=True), Column("allowed", long=True))
    print_blocks(Table("", columns, rows))
