"""Which sections a report has, in order. Another section is a function of its own module, named in this list."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from fieldtui.outputs.page.blocks import Section
from fieldtui.outputs.report.contacts import contacts_section, heard_section
from fieldtui.outputs.report.identified import identified_section
from fieldtui.outputs.report.map import map_section
from fieldtui.outputs.report.numbers import numbers_section, rate_section
from fieldtui.outputs.report.packets import packets_section
from fieldtui.outputs.report.plan import plan_section
from fieldtui.outputs.report.power import energy_section, volts_section
from fieldtui.outputs.report.remarks import alarms_section, cautions_section, damage_section, notes_section
from fieldtui.outputs.report.story import SessionStory
from fieldtui.outputs.report.strength import strength_section
from fieldtui.outputs.report.way import way_section

SECTIONS: Sequence[Callable[[SessionStory], Section | None]] = (
    numbers_section,
    damage_section,
    map_section,
    rate_section,
    volts_section,
    energy_section,
    plan_section,
    identified_section,
    contacts_section,
    heard_section,
    packets_section,
    way_section,
    strength_section,
    notes_section,
    alarms_section,
    cautions_section,
)


def sections_of(story: SessionStory) -> list[Section]:
    """Every section that has something to tell."""
    return [section for tell in SECTIONS if (section := tell(story)) is not None]
