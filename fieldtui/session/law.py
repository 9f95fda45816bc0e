"""Which Region, country and rule hold where the session is now: as set, or as the place and the call say."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fieldtui.journal.event_types import Event
from fieldtui.journal.events import PlaceSet, RuleAssumed, SessionOpened

if TYPE_CHECKING:
    from fieldtui.radio.where.law import Law
    from fieldtui.session.state import SessionState


def law_at(opened: SessionOpened | None, locator: str | None) -> Law:
    """Return what holds at a place in a session; a session that is not open yet is one without anything set."""
    from fieldtui.radio.where.law import law_of  # noqa: PLC0415  (no start waits for it)

    if opened is None:
        return law_of(locator=locator)
    region = opened.region if opened.region_from is None else None
    rule = opened.rule if opened.rule_from is None else None
    return law_of(region, rule, locator, opened.station_call)


def law_now(state: SessionState) -> Law:
    """Return what holds where the session is now."""
    return _law_of(state, state.place.locator)


def _law_of(state: SessionState, locator: str | None) -> Law:
    """What was set holds, until something else was set; what was assumed follows the place."""
    from fieldtui.radio.where.law import law_of  # noqa: PLC0415  (as above)

    ruled = state.ruled
    if ruled is None or state.opened is None:
        return law_at(state.opened, locator)
    region = ruled.region if ruled.region_from is None else None
    rule = ruled.rule if ruled.rule_from is None else None
    return law_of(region, rule, locator, state.opened.station_call)


def region_events(state: SessionState, region: int | None) -> tuple[Event, ...]:
    """What is written when the operator sets another Region, or with None leaves it to the place."""
    from fieldtui.radio.where.law import law_of  # noqa: PLC0415  (as above)

    opened, ruled = state.opened, state.ruled
    if opened is None or ruled is None:
        return ()
    rule = ruled.rule if ruled.rule_from is None else None
    law = law_of(region, rule, state.place.locator, opened.station_call)
    return (
        RuleAssumed(
            rule=law.rule, interval_seconds=opened.interval_seconds, region=law.region,
            region_from=law.region_from or None, rule_from=law.rule_from or None,
        ),
    )  # fmt: skip


def law_here(state: SessionState, here: tuple[float, float] | None) -> Law:
    """Return what holds at a point (degrees north and east), whatever Region is set for home; or else as `law_now`."""
    if here is None:
        return law_now(state)
    from fieldtui.radio.locator import locator_of  # noqa: PLC0415  (as above)
    from fieldtui.radio.where.law import law_of  # noqa: PLC0415

    return law_of(None, None, locator_of(*here, 8), state.own_call)


def place_events(state: SessionState, locator: str | None, place: str | None) -> tuple[Event, ...]:
    """What is written when the place is told: the place, and what is assumed from it if that is something else."""
    told = PlaceSet(locator=locator, place=place)
    opened, ruled = state.opened, state.ruled
    if locator is None or opened is None or ruled is None:
        return (told,)
    law = _law_of(state, locator)
    if (law.rule, law.region) == (ruled.rule, ruled.region or law.region):
        return (told,)
    assumed = RuleAssumed(
        rule=law.rule, interval_seconds=opened.interval_seconds, region=law.region,
        region_from=law.region_from or None, rule_from=law.rule_from or None,
    )  # fmt: skip
    return told, assumed


def assumed_words(events: tuple[Event, ...], state: SessionState, locator: str | None) -> str:
    """What to say of a rule or a Region that comes with a place; nothing if they stay."""
    if not any(isinstance(event, RuleAssumed) for event in events):
        return ""
    return _law_of(state, locator).assumed
