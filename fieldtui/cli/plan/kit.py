"""Ticking off the kit list from the shell, for the coming session or in a journal."""

from __future__ import annotations

import argparse

from fieldtui.cli.output import print_json, safe
from fieldtui.cli.plan.keeping import target
from fieldtui.journal.plan_events import KitTicked, PlanMade
from fieldtui.journal.stamp import SystemClock
from fieldtui.journal.waiting_plan import add_waiting, waiting_events
from fieldtui.radio.outside_text import clean_text
from fieldtui.session.kit import LONGEST_ITEM, KitFold, KitLine
from fieldtui.session.timeline import Moment
from fieldtui.station.fields import Station


def tick(options: argparse.Namespace, station: Station) -> None:
    """Write the ticks and show the list.

    Raises:
        ValueError: an item is not on the list, or fits two.
    """
    path = target(options.save or "")
    events = waiting_events(path)
    if not (station.kit.items or any(isinstance(event, PlanMade) for event in events)):
        raise ValueError(
            "no plan is kept, so there is no list to tick off: 'fieldtui plan ... --save' keeps one"
        )
    kit, stamp = KitFold(), SystemClock().now()
    moment = Moment(0.0, stamp.at, stamp.boot, 0)
    for event in events:
        if isinstance(event, KitTicked):
            kit.on_ticked(event, moment)
    lines = kit.lines(_items(station, kit))
    ticks = [KitTicked(item=_named(word, lines)) for word in options.tick]
    ticks += [KitTicked(item=_named(word, lines), packed=False) for word in options.untick]
    add_waiting(path, ticks, stamp)
    for one in ticks:
        kit.on_ticked(one, moment)
    _show(kit.lines(_items(station, kit)), as_json=options.json)


def _items(station: Station, kit: KitFold) -> tuple[str, ...] | None:
    """Give the list of the station file, or that of the plan in the journal."""
    return station.kit.items or kit.named_items() or None


def _named(word: str, lines: tuple[KitLine, ...]) -> str:
    """Give the item of this number or name, or the only one whose name begins like this."""
    said = clean_text(word, LONGEST_ITEM).strip().casefold()
    if said.isascii() and said.isdecimal() and 1 <= int(said) <= len(lines):
        return lines[int(said) - 1].item
    fitting = [line.item for line in lines if line.item.casefold() == said]
    fitting = fitting or [line.item for line in lines if said and line.item.casefold().startswith(said)]
    if len(fitting) == 1:
        return fitting[0]
    if fitting:
        raise ValueError(
            f"{safe(word)[:30]!a} fits {' and '.join(fitting[:4])}: write more of it, or its number"
        )
    raise ValueError(
        f"{safe(word)[:30]!a} is not on the list of {len(lines)} things: its numbers stand in fieldtui plan; "
        "your own list is items under [kit] in the station file"
    )


def _show(lines: tuple[KitLine, ...], *, as_json: bool) -> None:
    if as_json:
        print_json({"kit": [{"item": line.item, "packed": line.packed} for line in lines]})
        return
    for number, line in enumerate(lines, 1):
        print(safe(f"{number:>3} [{'x' if line.packed else ' '}] {line.item}"))
    missing = sum(not line.packed for line in lines)
    print(f"{missing} of {len(lines)} still to pack" if missing else "all packed")
