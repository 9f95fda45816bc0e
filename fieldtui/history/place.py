"""Where the index of earlier contacts is."""

from __future__ import annotations

import os
from pathlib import Path


def history_path() -> Path:
    """`$FIELDTUI_HISTORY`, or `fieldtui/history.sqlite` in the user's cache folder.

    One file serves every folder of journals: it keeps them apart.
    """
    if named := os.environ.get("FIELDTUI_HISTORY"):
        return Path(named).expanduser()
    cache = os.environ.get("XDG_CACHE_HOME") or "~/.cache"
    return Path(cache).expanduser() / "fieldtui" / "history.sqlite"
