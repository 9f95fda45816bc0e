"""Modes of emission: the words for them, their names in a log, and how wide they are."""

from __future__ import annotations

from functools import cache
from typing import Literal

from msgspec import Struct

from fieldtui.data.tables import load_toml

Kind = Literal["cw", "mcw", "phone", "image", "rtty", "data"]
Side = Literal["both", "upper", "lower", "sideband"]


class Mode(Struct, frozen=True):
    """One mode.

    `kind` is the sort of emission as rules see it, `adif` and `submode` its names in an ADIF file,
    `occupied_hertz` its width, `side` where that width lies against the dial, and `reach_hertz` how far from
    the dial tones may stand when that is farther than the width.
    """

    name: str
    kind: Kind
    occupied_hertz: int
    side: Side
    adif: str | None = None
    submode: str | None = None
    reach_hertz: int | None = None


def read_mode(word: str) -> str | None:
    """Return the mode that a word means, upper case, or None when the word is not a mode."""
    return _words().get(word.strip().upper())


def mode_names() -> tuple[str, ...]:
    """Return the word for every mode, in the order of the table."""
    return tuple(_modes())


def mode_named(name: str) -> Mode:
    """Return all that is known about a mode; raises ValueError for a word that is none."""
    known = read_mode(name)
    if known is None:
        raise ValueError(f"{name[:20]!a} is not a known mode: use one of {', '.join(_modes())}")
    return _modes()[known]


def occupied_hertz(mode: str) -> int:
    """Return the occupied bandwidth of a mode in hertz; raises ValueError for a word that is not a mode.

    Sources stand beside each value in the table: Carson's rule for FM, ITU-R SM.1138 for keyed modes.
    """
    return mode_named(mode).occupied_hertz


def adif_names(mode: str) -> tuple[str | None, str | None]:
    """Return the ADIF Mode and Submode of a mode: USB is SSB with submode USB.

    Source: ADIF 3.1.6 enumerations. `(None, None)` when ADIF has no such mode; raises ValueError for a word
    that is not a mode.
    """
    known = mode_named(mode)
    return known.adif, known.submode


@cache
def _modes() -> dict[str, Mode]:
    return {
        name: Mode(
            name=name,
            kind=row["kind"],
            occupied_hertz=row["occupied_hertz"],
            side=row["side"],
            adif=row.get("adif"),
            submode=row.get("submode"),
            reach_hertz=row.get("reach_hertz"),
        )
        for name, row in load_toml("modes.toml")["modes"].items()
    }


@cache
def _words() -> dict[str, str]:
    words = {name: name for name in _modes()}
    for name, row in load_toml("modes.toml")["modes"].items():
        words.update((typed, name) for typed in row.get("typed", ()))
    return words
