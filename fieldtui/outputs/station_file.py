"""The one way in which a station file is changed: value by value, checked first, whole or not at all."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from fieldtui.journal.errors import file_words
from fieldtui.outputs.safe_file import write_safely
from fieldtui.radio.outside_text import RefusedError, quoted
from fieldtui.station.editing import edited
from fieldtui.station.fields import Station
from fieldtui.station.naming import KEYS
from fieldtui.station.reading import MOST_BYTES, read_station, station_text
from fieldtui.station.setting import Setting

_JOURNAL_BEGINS = b'{"seq":'

Check = Callable[[Station], Sequence[str]]
"""What is wrong between the values of a station, beyond what its file's reader sees."""


def change_station(path: Path, setting: Setting, written: str | None, check: Check = lambda _: ()) -> Station:
    """Write one value into a station file, or take it out (None); returns the station as it is then.

    All other bytes of the file stay. A file that is not there is made, with a comment above each key.

    Raises:
        RefusedError: the value is not accepted, alone or beside the others; or this is not a station file.
        OSError: the file cannot be read or written; it is as it was.
    """
    value = None if written is None else setting.read(written)
    before = _read(path)
    after = edited(before, setting.path, value)
    station = _accepted(before, after, setting, check)
    if after != before:
        path.parent.mkdir(parents=True, exist_ok=True)
        with write_safely(path) as file:
            file.write(after)
    return station


def failure_words(path: Path, error: OSError) -> str:
    """Why the file could not be changed, in one line."""
    return f"{path.name} is not changed: {file_words(error)}"


def _read(path: Path) -> bytes:
    try:
        data = path.read_bytes() if path.is_file() or not path.exists() else b"\0"
    except FileNotFoundError:
        return station_text(Station()).encode()
    if len(data) > MOST_BYTES or data.startswith(_JOURNAL_BEGINS) or b"\0" in data:
        raise RefusedError(f"{quoted(path.name)} is not a station file", "name one with --station")
    return data


def _accepted(before: bytes, after: bytes, setting: Setting, check: Check) -> Station:
    """The station of a changed file, if nothing is wrong with it that was right before."""
    was, had = read_station(before, "")
    station, has = read_station(after, "")
    known = {each.what for each in had} | set(check(was))
    new = [each for each in [*(problem.what for problem in has), *check(station)] if each not in known]
    if new:
        what, _, accepted = new[0].removeprefix(f"{setting.name}: ").removeprefix(f"{KEYS}: ").partition(": ")
        raise RefusedError(what, accepted or "the file stays as it was")
    return station


def value_in(station: Station, setting: Setting) -> Any:
    """What a station says of a key; None where nothing is given."""
    if setting.section == KEYS:
        return dict(station.screen.keys).get(setting.key)
    return getattr(getattr(station, setting.section), setting.key)
