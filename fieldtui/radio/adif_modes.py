"""The Mode and Submode enumerations of ADIF, and the words of this program for them.

Source: ADIF 3.1.6 Mode and Submode enumerations; see the table.
"""

from __future__ import annotations

from functools import cache

from fieldtui.data.tables import load_rows
from fieldtui.radio.modes import adif_names, mode_names, read_mode


def names_in_adif(word: str) -> tuple[str, str | None] | None:
    """Return the Mode and Submode to write for a mode, or None when ADIF has none.

    Takes this program's words, and any name of the two enumerations.
    """
    known = read_mode(word)
    if known is not None:
        mode, submode = adif_names(known)
        return (mode, submode) if mode else None
    name = word.strip().upper()
    if name in _modes():
        return name, None
    parent = _parents().get(name)
    return (parent, name) if parent else None


def word_of(mode: str, submode: str | None = None) -> str | None:
    """Return the word for a Mode and Submode, in any case; None when the Mode is not in the enumeration.

    A Submode counts only under its own Mode. What stood in MODE by mistake or by an older edition (`USB`,
    `C4FM`) is understood too: the word says it all.
    """
    name, sub = mode.strip().upper(), (submode or "").strip().upper()
    if sub and _parents().get(sub) == name:
        return _words().get((name, sub), sub)
    if name in _modes():
        return _words().get((name, None), name)
    parent = _parents().get(name)
    return _words().get((parent, name), name) if parent else None


def is_mode(mode: str) -> bool:
    """Tell whether a name is one that may be written as MODE."""
    return mode.strip().upper() in _modes()


@cache
def _modes() -> frozenset[str]:
    """Return the modes that may be written."""
    return frozenset(
        mode for mode, submode, import_only in load_rows("adif_modes.csv") if not (submode or import_only)
    )


@cache
def _parents() -> dict[str, str]:
    """Return the Mode of each Submode."""
    return {submode.upper(): mode for mode, submode, _ in load_rows("adif_modes.csv") if submode}


@cache
def _words() -> dict[tuple[str, str | None], str]:
    """Return this program's word for each pair; of several (`FM`, `NFM`) the first."""
    words: dict[tuple[str, str | None], str] = {}
    for name in mode_names():
        mode, submode = adif_names(name)
        if mode:
            words.setdefault((mode, submode), name)
    return words
