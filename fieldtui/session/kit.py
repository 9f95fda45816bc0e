"""The check list of what to pack: the user's own words, ticked off in the journal."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from fieldtui.journal.plan_events import KitTicked
from fieldtui.radio.outside_text import clean_text
from fieldtui.session.timeline import Moment

LONGEST_ITEM = 60
MOST_ITEMS = 500

USUAL_KIT = (
    "radio and microphone",
    "battery, charged",
    "spare fuses",
    "antenna",
    "mast, guys and pegs",
    "feed line and adapters",
    "headphones",
    "licence, or a copy",
    "paper and pencil",
    "head lamp",
    "water and food",
    "warm and dry layer",
    "hat and sun cream",
    "first aid kit",
    "someone knows where and until when",
)
"""For a station file without a list of its own (common practice, no source)."""


class KitLine(Struct, frozen=True):
    """One thing of the list, and whether it is in the bag. `own` False: ticked once, but on the list no more."""

    item: str
    packed: bool
    own: bool = True


class KitFold:
    """What was ticked last, thing by thing, whatever the case of its letters."""

    def __init__(self) -> None:
        self._ticks: dict[str, tuple[str, bool, Moment]] = {}

    def on_ticked(self, event: KitTicked, moment: Moment) -> None:
        """A thing went into the bag, or came out again; the last tick counts."""
        item = clean_text(event.item, LONGEST_ITEM)
        key = item.casefold()
        if item and (key in self._ticks or len(self._ticks) < MOST_ITEMS):
            self._ticks[key] = (item, event.packed, moment)

    def is_packed(self, item: str) -> bool:
        """Tell whether a thing is in the bag."""
        tick = self._ticks.get(_key(item))
        return tick is not None and tick[1]

    def packed_at(self, item: str) -> Moment | None:
        """Give when a thing was packed, or None while it is not."""
        tick = self._ticks.get(_key(item))
        return tick[2] if tick and tick[1] else None

    def packed_items(self) -> tuple[str, ...]:
        """Give everything that is in the bag, in the order in which it was first named."""
        return tuple(item for item, packed, _ in self._ticks.values() if packed)

    def named_items(self) -> tuple[str, ...]:
        """Give everything that was ever ticked or listed, in the order in which it was first named."""
        return tuple(item for item, _, _ in self._ticks.values())

    def lines(self, items: Sequence[str] | None = None) -> tuple[KitLine, ...]:
        """Give the list in its order with its ticks, and behind it what was packed besides.

        `items` is the list of the station file; without one it is the usual kit.
        """
        wanted = USUAL_KIT if items is None else items
        own = {_key(item): item for item in wanted}
        listed = tuple(KitLine(item, self.is_packed(item)) for item in own.values())
        besides = tuple(
            KitLine(item, packed=True, own=False)
            for key, (item, packed, _) in self._ticks.items()
            if packed and key not in own
        )
        return listed + besides

    def missing(self, items: Sequence[str] | None = None) -> tuple[str, ...]:
        """Give what of the list is not in the bag yet."""
        return tuple(line.item for line in self.lines(items) if not line.packed)


def _key(item: str) -> str:
    return clean_text(item, LONGEST_ITEM).casefold()
