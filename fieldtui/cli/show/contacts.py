"""The contacts of `fieldtui show`."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from fieldtui.outputs.page.blocks import Column, Row, Table, clean
from fieldtui.radio.frequency import format_megahertz
from fieldtui.radio.units import count_of
from fieldtui.session.distance import distance_words

TAKEN_BACK = "TAKEN BACK"
_COLUMNS = (
    Column("No", numeric=True), Column("UTC"), Column("Call", main=True), Column("Sent"), Column("Rcvd"),
    Column("Name, place", long=True), Column("Where"), Column("MHz", numeric=True), Column("Mode"), Column("Card"),
)  # fmt: skip


def counted(contacts: Sequence[dict[str, Any]]) -> str:
    """How many stand, and how many were taken back."""
    back = sum(contact["withdrawn"] for contact in contacts)
    words = count_of(len(contacts) - back, "contact")
    return f"{words}, {back} taken back" if back else words


def contact_table(contacts: Sequence[dict[str, Any]], *, miles: bool) -> Table:
    """All of them, those that were taken back with the words for it: a style alone is lost in a pipe."""
    return Table("", _COLUMNS, [_row(contact, miles=miles) for contact in contacts])


def _row(contact: dict[str, Any], *, miles: bool) -> Row:
    called = ", ".join(filter(None, (contact["name"], contact["place"], contact["remarks"])))
    cells = (
        f"{contact['number']}{'*' if contact['corrections'] else ''}",
        contact["at"][11:16],
        contact["call"],
        contact["sent"] or "",
        contact["received"] or "",
        "; ".join(filter(None, (TAKEN_BACK if contact["withdrawn"] else "", called))),
        distance_words(contact["distance_m"], contact["bearing_deg"], miles=miles),
        format_megahertz(contact["hertz"]) if contact["hertz"] else "",
        contact["mode"] or "",
        "card" if contact["card"] else "",
    )
    return Row([clean(cell, 2000) for cell in cells], struck=contact["withdrawn"])
