"""Fitting text into cells. Everything that came from outside passes `shown` before it is drawn."""

from __future__ import annotations

from textwrap import wrap

from rich.cells import cell_len, set_cell_size

from fieldtui.entry.text import clean_text


def shown(text: str | None, cells: int = 256) -> str:
    """Text from outside as it may be drawn: no control, bidirectional or invisible characters."""
    return clip(clean_text(text or "", 2000), cells)


def clip(text: str, cells: int) -> str:
    """At most so many cells; a cut is marked."""
    if cells <= 0:
        return ""
    return text if cell_len(text) <= cells else set_cell_size(text, cells - 1) + "~"


def fit(text: str, cells: int) -> str:
    """Exactly so many cells."""
    return set_cell_size(clip(text, cells), max(0, cells))


def rows_of(text: str, cells: int, most: int) -> list[str]:
    """The text in rows of so many cells, cut between words; what is more than so many rows is cut off, and marked."""
    if cell_len(text) <= cells or most <= 1:
        return [clip(text, cells)] if text else []
    rows = [clip(row, cells) for row in wrap(text, max(1, cells))]
    return rows if len(rows) <= most else [*rows[: most - 1], clip(" ".join(rows[most - 1 :]), cells)]


def span(seconds: float) -> str:
    """A length of time in words: `42 s`, `6 min`, `1 h 12`."""
    whole = max(0, int(seconds))
    if whole < 60:
        return f"{whole} s"
    return f"{whole // 60} min" if whole < 3600 else f"{whole // 3600} h {whole % 3600 // 60:02d}"


def lasting(seconds: float) -> str:
    """A length of time that goes on, to the second: `42 s`, `2 min 05 s`, `1 h 12 min`."""
    whole = max(0, int(seconds))
    if 60 <= whole < 3600:
        return f"{whole // 60} min {whole % 60:02d} s"
    return span(whole) if whole < 60 else f"{whole // 3600} h {whole % 3600 // 60:02d} min"


def minutes(seconds: float) -> str:
    """`6:12`, for big digits."""
    whole = max(0, int(seconds))
    return f"{whole // 60}:{whole % 60:02d}"
