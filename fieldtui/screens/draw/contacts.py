"""The contacts list as lines of plain text. Pure."""

from __future__ import annotations

from datetime import datetime

from msgspec import Struct

from fieldtui.screens.draw.panes import PLAIN, WEAK
from fieldtui.screens.draw.panes import Line as Drawn
from fieldtui.screens.draw.text import clip, fit, shown
from fieldtui.session.contact_facts import Whereabouts, whereabouts
from fieldtui.session.contacts import Contact, Heard
from fieldtui.session.distance import distance_words
from fieldtui.session.figures import Figures
from fieldtui.session.state import SessionState


class _Row(Struct, frozen=True):
    at: datetime
    seq: int
    entry: Contact | Heard


def contact_rows(state: SessionState) -> list[_Row]:
    """Contacts and calls only heard, newest first."""
    rows = [
        _Row(state.when(contact), contact.number, contact)
        for contact in state.contacts.by_id.values()
        if not contact.withdrawn
    ]
    rows += [_Row(state.when_heard(heard), 0, heard) for heard in state.contacts.open_heard()]
    return sorted(rows, key=lambda row: (row.at, row.seq), reverse=True)


def contact_lines(state: SessionState, width: int, height: int, *, skip: int, miles: bool) -> list[Drawn]:
    """As many rows as fit, after `skip` newer ones."""
    rows = contact_rows(state)
    if not rows:
        return [(clip("no contact yet: type call, reports, locator, name, place", width), WEAK)]
    lines = []
    for row in rows[skip : skip + height]:
        if isinstance(row.entry, Contact):
            where = whereabouts(state, row.entry)
            lines.append((contact_line(row.entry, row.at, width, where=where, miles=miles), PLAIN))
        else:
            lines.append((heard_line(row.entry, row.at, width), WEAK))
    return lines


def contact_line(contact: Contact, at: datetime, width: int, *, where: Whereabouts, miles: bool) -> str:
    """One contact in fixed columns; `*` after the number says that it was corrected."""
    number = f"{contact.number}{'*' if contact.corrections else ' '}"
    reports = f"{shown(contact.sent, 6) or '-'} {shown(contact.received, 6) or '-'}"
    head = f"{number:>4} {at:%H:%M} {fit(shown(contact.call, 16), 9)} {fit(reports, _report_cells(width))} "
    way = distance_words(where.distance_m, where.bearing_deg, miles=miles)
    tail = f" {way:>11} {'card' if contact.card else '    '}"
    who = ", ".join(
        part for part in (shown(contact.name), shown(contact.place), shown(contact.remarks)) if part
    )
    room = width - len(head) - len(tail)
    return clip(head + fit(who, room) + tail, width) if room >= 8 else clip(head + who, width)


def _report_cells(width: int) -> int:
    """`59 57`; where there is room, also `59+10 58` or `599 579`."""
    return 8 if width >= 70 else 6


def heard_line(heard: Heard, at: datetime, width: int) -> str:
    """A call that is not a contact yet."""
    return clip(
        f"     {at:%H:%M} {fit(shown(heard.call, 16), 9)} {fit('heard', _report_cells(width))} {shown(heard.text)}",
        width,
    )


def figures_words(told: Figures, *, miles: bool) -> str:
    """For the title of the list: how many, how many different, how fast, how far."""
    parts = [f"{told.contacts}"]
    if told.stations != told.contacts:
        parts.append(f"{told.stations} station{'' if told.stations == 1 else 's'}")
    if told.contacts:
        parts.append(f"{told.last_hour} in the last hour")
    if told.farthest_m is not None:
        parts.append(f"farthest {distance_words(told.farthest_m, None, miles=miles, alone=True)}")
    return ", ".join(parts)
