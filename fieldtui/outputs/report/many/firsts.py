"""Which session first worked a station, a square, or a station on a band: what was new in each, over all journals."""

from __future__ import annotations

from collections import Counter
from datetime import datetime

from fieldtui.session.newness import News, Traits

MOST_FIRSTS = 60_000
_Key = tuple[str, str, str]
_BAND, _SQUARE, _STATION = "band", "square", "station"


class Firsts:
    """The earliest contact of each station, square, and station on a band, in whatever order contacts come."""

    def __init__(self) -> None:
        self._first: dict[_Key, tuple[datetime, int, str]] = {}
        self._count = 0

    def take(self, traits: Traits, at: datetime, journal: str) -> None:
        """Keep what a contact of a journal may be the first of."""
        self._count += 1
        moment = (at, self._count, journal)
        self._keep((_STATION, traits.core, ""), moment)
        if traits.band:
            self._keep((_BAND, traits.core, traits.band), moment)
        if traits.square:
            self._keep((_SQUARE, traits.square, ""), moment)

    @property
    def squares(self) -> int:
        """How many squares were worked."""
        return sum(kind == _SQUARE for kind, _, _ in self._first)

    @property
    def on_bands(self) -> int:
        """How many pairs of station and band were worked."""
        return sum(kind == _BAND for kind, _, _ in self._first)

    def news(self) -> dict[str, News]:
        """What was new in each journal that had anything new; a new station is not counted again on its band."""
        counts: Counter[tuple[str, str]] = Counter()
        for (kind, core, _), moment in self._first.items():
            if kind != _BAND or moment != self._first.get((_STATION, core, "")):
                counts[moment[2], kind] += 1
        journals = {journal for journal, _ in counts}
        return {
            each: News(counts[each, _STATION], counts[each, _SQUARE], counts[each, _BAND])
            for each in journals
        }

    def _keep(self, key: _Key, moment: tuple[datetime, int, str]) -> None:
        before = self._first.get(key)
        if before is not None:
            self._first[key] = min(before, moment)
        elif len(self._first) < MOST_FIRSTS:
            self._first[key] = moment
