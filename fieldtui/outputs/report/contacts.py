"""The table of contacts, and the calls that were only heard."""

from __future__ import annotations

from datetime import datetime

from fieldtui.outputs.page.blocks import Block, Column, Row, Section, Table, Words, clean
from fieldtui.outputs.page.words import clock_words, count_words, day_words
from fieldtui.outputs.report.story import SessionStory
from fieldtui.radio.frequency import format_megahertz
from fieldtui.session.contact_facts import facts_of
from fieldtui.session.contacts import Contact

MOST_ROWS = 3000
MOST_CORRECTIONS = 12
_COLUMNS = (
    Column("No", numeric=True), Column("UTC"), Column("Call", main=True), Column("Sent"), Column("Rcvd"),
    Column("Name and place", long=True), Column("Locator"), Column("Distance"), Column("MHz", numeric=True), Column("Mode"),
    Column("W", numeric=True), Column("Card"),
)  # fmt: skip


def contacts_section(story: SessionStory) -> Section | None:
    """Every contact, those taken back struck through; nothing if there was none."""
    every = sorted(story.state.contacts.by_id.values(), key=lambda one: (story.when(one), one.number))
    if not every:
        return None
    days = {story.when(contact).date() for contact in every}
    day = next(iter(days)) if len(days) == 1 else None
    rows = [_row(story, contact, days=day is None) for contact in every[:MOST_ROWS]]
    corrected = sum(bool(contact.corrections) for contact in every)
    withdrawn = sum(contact.withdrawn for contact in every)
    caption = f"All times UTC{f', {day.isoformat()}' if day else ''}; true times where the clock was found to be off"
    blocks: list[Block] = [Table(caption, _COLUMNS, rows, cards=True)]
    if len(every) > MOST_ROWS:
        blocks.append(
            Words(f"The first {MOST_ROWS} of {len(every)}; 'fieldtui show --json' has all.", "caution")
        )
    told = [f"{corrected} corrected"] * bool(corrected) + [f"{withdrawn} taken back"] * bool(withdrawn)
    if told:
        blocks.append(Words(f"Of {count_words(len(every), 'contact')}: {', '.join(told)}."))
    return Section("contacts", "Contacts", blocks)


def _row(story: SessionStory, contact: Contact, *, days: bool) -> Row:
    facts = facts_of(story.state, contact)
    where = facts.where
    who = ", ".join(
        filter(None, (clean(text, 120) for text in (contact.name, contact.place, contact.remarks)))
    )
    cells = (
        str(contact.number),
        _when(facts.at, days=days),
        clean(contact.call, 30),
        clean(contact.sent, 10),
        clean(contact.received, 10),
        who,
        clean(contact.locator, 12) or ("by packet" if where.source == "packet" else ""),
        story.way(where.distance_m, where.bearing_deg),
        format_megahertz(contact.hertz) if contact.hertz else "",
        clean(contact.mode, 12),
        f"{contact.watts:g}" if contact.watts is not None else "",
        "promised" if contact.card else "",
    )
    return Row(cells, struck=contact.withdrawn, remark=_remark(contact))


def _when(at: datetime, *, days: bool) -> str:
    return f"{day_words(at)} {clock_words(at)}" if days else clock_words(at)


def _remark(contact: Contact) -> str:
    parts = ["taken back"] * contact.withdrawn
    if contact.corrections:
        more = len(contact.corrections) - MOST_CORRECTIONS
        words = "; ".join(clean(text, 80) for text in contact.corrections[:MOST_CORRECTIONS])
        parts.append(f"corrected: {words}{f' and {more} more' if more > 0 else ''}")
    return ", ".join(parts)


def heard_section(story: SessionStory) -> Section | None:
    """Calls that were heard, whole or in part, and became no contact."""
    heard = list(story.state.contacts.open_heard())
    if not heard:
        return None
    columns = (
        Column("UTC"),
        Column("Heard", main=True),
        Column("MHz", numeric=True),
        Column("What was understood", long=True),
    )
    rows = [
        Row(
            (
                clock_words(story.state.when_heard(one)),
                clean(one.call, 30),
                format_megahertz(one.hertz) if one.hertz else "",
                clean(one.text),
            )
        )
        for one in heard[:MOST_ROWS]
    ]
    words = Words("A question mark stands for a character that was not heard.")
    return Section(
        "heard", "Heard, not worked", [Table("Calls that became no contact", columns, rows), words], half=True
    )
