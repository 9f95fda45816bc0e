"""Reports that were received beside the strength that was to be expected."""

from __future__ import annotations

from fieldtui.outputs.page.blocks import Block, Column, Row, Section, Table, Words, clean
from fieldtui.outputs.report.story import SessionStory
from fieldtui.planning.session_strength import Equipment, heard_of
from fieldtui.planning.strength import (
    LEAST_CONTACTS,
    Compared,
    Heard,
    Strengths,
    expected_vs_reported,
    strength_words,
)
from fieldtui.radio.units import format_distance
from fieldtui.session.contact_facts import whereabouts

_COLUMNS = (
    Column("Call", main=True),
    Column("Report"),
    Column("Distance", numeric=True),
    Column("Expected", numeric=True),
    Column("Difference", numeric=True),
)


def strength_section(story: SessionStory) -> Section | None:
    """Expected beside reported; nothing unless enough contacts know power, place and height of the station."""
    told = expected_vs_reported(_heard(story))
    if told.used < LEAST_CONTACTS:
        return None
    unit = "miles" if story.miles else "kilometres"
    rows = [Row(_cells(one, miles=story.miles)) for one in told.contacts if one.difference is not None]
    blocks: list[Block] = [
        Words(_middle(told)),
        Words(
            f"Calculated over a smooth earth, isotropic antennas, the far one 2 m up. {told.caution}",
            "caution",
        ),
        Table(f"Reported less expected, in S units; distances in {unit}", _COLUMNS, rows),
    ]
    return Section("strength", "Strength", blocks)


def _heard(story: SessionStory) -> list[Heard]:
    known = [
        contact
        for contact in story.contacts
        if contact.watts is not None and contact.own_height_metres is not None and contact.hertz
    ]
    heard = []
    for contact in known:
        try:
            one = heard_of(contact, whereabouts(story.state, contact), Equipment())
        except ValueError:
            # A journal may hold a frequency or a power that no radio has.
            continue
        if one is not None:
            heard.append(one)
    return heard


def _middle(told: Strengths) -> str:
    suggests = told.suggests[:1].upper() + told.suggests[1:]
    return f"{suggests}. The middle of {told.used} differences is {told.median_s_units:+.1f} S units."


def _cells(one: Compared, *, miles: bool) -> list[str]:
    distance = "" if one.distance_m is None else format_distance(one.distance_m, "mi" if miles else "km")
    return [
        clean(one.call),
        clean(one.report),
        distance,
        strength_words(one.expected),
        f"{one.difference:+.1f}",
    ]
