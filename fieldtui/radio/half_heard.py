"""Finds which known stations a half-heard call could be."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache

from msgspec import Struct

from fieldtui.data.tables import load_toml
from fieldtui.radio.callsign import read_call

MOST_CONFUSIONS = 2
"""With more characters changed, nearly every call would fit (common practice, no source)."""


class Match(Struct, frozen=True):
    """A known call that fits what was heard, and the pairs heard and meant that had to be assumed for it."""

    call: str
    confusions: tuple[tuple[str, str], ...] = ()


def matches(pattern: str, known: Iterable[str]) -> list[Match]:
    """Return the known calls that fit a half-heard one, the surest first.

    `?` in the pattern stands for one character not heard. Calls that fit as heard come first, then those that
    need one character taken for another that sounds alike, then two; within these the order of `known` stays,
    so hand in the likeliest first. Cores are compared, so `K1QR?` finds `K1QRN/P`; no call comes back twice.
    """
    heard = read_call(pattern).core
    found: dict[str, Match] = {}
    for call in known:
        read = read_call(call)
        confusions = _confusions(heard, read.core)
        if confusions is not None and len(confusions) <= MOST_CONFUSIONS:
            found.setdefault(read.text, Match(read.text, confusions))
    return sorted(found.values(), key=lambda match: len(match.confusions))


def _confusions(heard: str, meant: str) -> tuple[tuple[str, str], ...] | None:
    """Return the pairs in which two calls differ, or None when no ear takes one for the other."""
    if len(heard) != len(meant) or not heard.strip("?"):
        return None
    pairs = tuple((one, other) for one, other in zip(heard, meant, strict=True) if one not in ("?", other))
    return pairs if all(other in _sounds_like().get(one, "") for one, other in pairs) else None


@cache
def _sounds_like() -> dict[str, str]:
    """Return, for each character, those it is confused with."""
    groups: list[str] = load_toml("voice_confusions.toml")["groups"]
    return {character: group for group in groups for character in group}
