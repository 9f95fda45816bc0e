"""How a session begins: from the station file, or from nothing."""

from __future__ import annotations

from fieldtui import __version__
from fieldtui.journal.events import SessionOpened, SessionResumed

PROGRAM = f"fieldtui {__version__}"


def opening_event(
    *,
    station_call: str | None = None,
    operator_call: str | None = None,
    place: str | None = None,
    locator: str | None = None,
    rule: str = "us",
    interval_seconds: float | None = None,
    demo: bool = False,
    region: int | None = None,
    region_from: str | None = None,
    rule_from: str | None = None,
) -> SessionOpened:
    """The first line of a journal. Everything is optional: a session needs no preparation."""
    return SessionOpened(
        program=PROGRAM, station_call=station_call, operator_call=operator_call, place=place, locator=locator,
        rule=rule, interval_seconds=interval_seconds, demo=demo,
        region=region, region_from=region_from, rule_from=rule_from,
    )  # fmt: skip


def resuming_event() -> SessionResumed:
    """An unfinished journal is opened again."""
    return SessionResumed(program=PROGRAM)
