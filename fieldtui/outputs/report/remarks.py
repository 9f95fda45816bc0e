"""Notes, alarms, how far the numbers can be trusted, and what is damaged in the journal."""

from __future__ import annotations

from fieldtui.outputs.page.blocks import Block, Column, Row, Section, Table, Words, clean
from fieldtui.outputs.page.words import clock_words, count_words, span_words
from fieldtui.outputs.report.course import AlarmTold
from fieldtui.outputs.report.story import SessionStory
from fieldtui.session.lacking import lacking_words
from fieldtui.session.state import MOST_NOTES

MOST_DAMAGE = 200


def notes_section(story: SessionStory) -> Section | None:
    """What the operator wrote down."""
    notes = story.state.notes
    if not notes:
        return None
    rows = [Row((clock_words(story.state.true_at(moment)), clean(text, 3000))) for moment, text in notes]
    blocks: list[Block] = [Table("As written at the time", (Column("UTC"), Column("Note", long=True)), rows)]
    if len(notes) == MOST_NOTES:
        blocks.append(Words(f"Only the last {MOST_NOTES} notes are kept here.", "caution"))
    return Section("notes", "Notes", blocks, half=True)


def alarms_section(story: SessionStory) -> Section | None:
    """What the program called attention to."""
    alarms = story.course.alarms
    if not alarms:
        return None
    columns = (
        Column("UTC"),
        Column("Severity"),
        Column("What was said", main=True, long=True),
        Column("Lasted"),
    )
    rows = [
        Row((clock_words(story.state.true_at(one.moment)), one.severity, clean(one.words), _lasted(one)))
        for one in alarms
    ]
    return Section("alarms", "Alarms", [Table("Alarms of the battery", columns, rows)])


def _lasted(one: AlarmTold) -> str:
    if one.cleared_seconds is None:
        return "to the end"
    return span_words(one.cleared_seconds - one.moment.seconds)


def cautions_section(story: SessionStory) -> Section:
    """What is measured, what is estimated, and how well."""
    state = story.state
    words = [
        _clock_words(story)
        if story.imported is None
        else "All of this is as the other program wrote it; nothing of it was measured by this one."
    ]
    if state.timeline.bridges:
        words.append(
            f"The machine was started again {count_words(state.timeline.bridges, 'time')}: how long it was off is known only "
            "from its clock, and is a guess where that had no battery."
        )
    words.append(
        "Distances and bearings are between the centres of locator squares: a square of six characters reaches about "
        "4 km from its centre, one of four about 100 km."
    )
    if state.battery.first_sampled is not None:
        words += [
            "Volts, ampere-hours and watt-hours are sums of the shunt's readings; its own calibration is not known here.",
            "Transmissions are told from the current (or the key): each edge is known to a second or two.",
            "Resistance is the median of the steps that transmissions make; it holds leads, fuse and plugs as well.",
        ]
    if state.battery.meter_doubts:
        words.append(
            f"{count_words(state.battery.meter_doubts, 'reading')} of a meter did not count: the shunt told something else."
        )
    if state.power.pack is not None:
        words.append(
            "Charge is an interval, from published curves of rested voltage and from counting; "
            "near its flat part a voltage tells little."
        )
    if story.imported is None:
        words.append(
            "Identification counts what was marked and recorded; a call given and not marked is not here."
        )
    told = lacking_words(sorted(story.contacts, key=lambda contact: contact.number))
    words += [f"{clean(each)}." for each in told]
    if state.unknown_kinds:
        words.append(
            f"{count_words(state.unknown_kinds, 'line')} of kinds that this version does not know passed over."
        )
    blocks: list[Block] = [Words(text) for text in words]
    return Section("trust", "How far to trust this", blocks)


def _clock_words(story: SessionStory) -> str:
    clock = story.state.clock
    trust = clock.trust(clock.boot)
    if clock.measured(clock.boot):
        return f"The clock was compared: {clean(trust)}. All times here are true times."
    return f"The clock was {clean(trust)}: times are as the machine told them, but for those that the operator stated."


def damage_section(story: SessionStory) -> Section | None:
    """Where the journal is not what was written."""
    if not story.damage:
        return None
    rows = [Row((str(place.line), clean(place.what))) for place in story.damage[:MOST_DAMAGE]]
    blocks: list[Block] = [
        Words("These lines are not what was written. They were passed over; the rest is shown.", "warning"),
        Table(
            "Damage in the journal",
            (Column("Line", numeric=True), Column("What is wrong", main=True, long=True)),
            rows,
        ),
    ]
    if len(story.damage) > MOST_DAMAGE:
        blocks.append(Words(f"{len(story.damage) - MOST_DAMAGE} more places.", "warning"))
    return Section("damage", "Damage", blocks)
