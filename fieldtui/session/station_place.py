"""Where the station file is, and the files that it names."""

from __future__ import annotations

import os
from pathlib import Path


def station_path() -> Path:
    """`$FIELDTUI_STATION`, or `fieldtui/station.toml` in the user's configuration folder."""
    if named := os.environ.get("FIELDTUI_STATION"):
        return Path(named).expanduser()
    folder = os.environ.get("XDG_CONFIG_HOME") or "~/.config"
    return Path(folder).expanduser() / "fieldtui" / "station.toml"


def channels_path(channels: str, station_file: Path) -> Path:
    """The plan that a station file names; a relative path starts at the folder of that file."""
    return station_file.parent / Path(channels).expanduser()
