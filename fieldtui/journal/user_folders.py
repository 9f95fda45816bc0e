"""The folders of the user (XDG Base Directory Specification 0.8, freedesktop.org), and paths that a variable names."""

from __future__ import annotations

import os
from pathlib import Path


def data_folder() -> Path:
    """What the user keeps: `$XDG_DATA_HOME`, else `~/.local/share`."""
    return _folder("XDG_DATA_HOME", "~/.local/share")


def cache_folder() -> Path:
    """What can be made again: `$XDG_CACHE_HOME`, else `~/.cache`."""
    return _folder("XDG_CACHE_HOME", "~/.cache")


def config_folder() -> Path:
    """What the user has set: `$XDG_CONFIG_HOME`, else `~/.config`."""
    return _folder("XDG_CONFIG_HOME", "~/.config")


def named_path(variable: str, usual: Path) -> Path:
    """The path that an environment variable names, or the usual one."""
    named = os.environ.get(variable)
    return Path(named).expanduser() if named else usual


def _folder(variable: str, usual: str) -> Path:
    return Path(os.environ.get(variable) or usual).expanduser()
