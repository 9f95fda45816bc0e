"""Reads the bundled tables of `fieldtui/data`, each once."""

from __future__ import annotations

from functools import cache
from pkgutil import get_data
from typing import Any


def read_table(name: str) -> str:
    """Return the text of one bundled table, UTF-8."""
    # As `importlib.resources` finds it, whose import takes longer than to read a table.
    data = get_data("fieldtui.data", name)
    if data is None:
        raise FileNotFoundError(f"no table {name} comes with the program")
    return data.decode()


@cache
def load_toml(name: str) -> dict[str, Any]:
    """Return one bundled TOML table; shared between callers, so never change it."""
    import tomllib  # noqa: PLC0415

    return tomllib.loads(read_table(name))


def load_rows(name: str) -> list[list[str]]:
    """Return the rows of one bundled CSV table, without its `#` lines and its line of column names."""
    import csv  # noqa: PLC0415

    lines = [line for line in read_table(name).splitlines() if line and not line.startswith("#")]
    return list(csv.reader(lines))[1:]
