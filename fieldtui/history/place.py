"""Where the index of earlier contacts is."""

from __future__ import annotations

from pathlib import Path

from fieldtui.journal.user_folders import cache_folder, named_path


def history_path() -> Path:
    """`$FIELDTUI_HISTORY`, or `fieldtui/history.sqlite` in the user's cache folder.

    One file serves every folder of journals: it keeps them apart.
    """
    return named_path("FIELDTUI_HISTORY", cache_folder() / "fieldtui" / "history.sqlite")
