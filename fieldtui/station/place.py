"""Where the station file is, and the files that it names."""

from __future__ import annotations

from pathlib import Path

from fieldtui.journal.user_folders import config_folder, named_path


def station_path() -> Path:
    """`$FIELDTUI_STATION`, or `fieldtui/station.toml` in the user's configuration folder."""
    return named_path("FIELDTUI_STATION", config_folder() / "fieldtui" / "station.toml")


def channels_path(channels: str, station_file: Path) -> Path:
    """The plan that a station file names; a relative path starts at the folder of that file."""
    return station_file.parent / Path(channels).expanduser()
