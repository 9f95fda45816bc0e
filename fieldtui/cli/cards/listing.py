"""`fieldtui cards list`: what waits, what was sent, what came."""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Sequence
from typing import Any

from fieldtui.cli.cards.reading import CallError, addresses_if_readable, contacts_in, today
from fieldtui.cli.exits import CALL_AT_FAULT, DONE
from fieldtui.cli.output import complain, print_blocks, print_json
from fieldtui.journal.rfc3339 import rfc3339
from fieldtui.outputs.cards.addresses import Addresses
from fieldtui.outputs.cards.journals import ANY_CARD
from fieldtui.outputs.cards.promises import (
    OLD_DAYS,
    CardContact,
    Entry,
    days_words,
    has_card,
    queue_of,
    reminder,
    waited_longer,
)
from fieldtui.outputs.page.blocks import Block, Column, Row, Table, Words, clean
from fieldtui.radio.frequency import format_megahertz
from fieldtui.radio.units import count_of

_COLUMNS = (
    Column(""), Column(""), Column(""), Column(""), Column(""), Column("", long=True),
)  # fmt: skip
"""Their names would stand again below each station; what they hold says itself what it is."""


def run_list(options: argparse.Namespace) -> int:
    """Read, group, print; that nothing waits is an answer too."""
    if options.older_than is not None and options.older_than < 0:
        complain("--older-than takes a number of days from 0")
        return CALL_AT_FAULT
    try:
        found = contacts_in(options, ANY_CARD)
    except CallError as error:
        complain(str(error))
        return CALL_AT_FAULT
    kept = addresses_if_readable()
    with_cards = [each for each in found.contacts if has_card(each)]
    entries = queue_of(with_cards, today(), kept)
    shown = entries if options.all else [entry for entry in entries if entry.waiting]
    if options.older_than is not None:
        shown = waited_longer(shown, options.older_than)
    if options.json:
        print_json(_object(shown, entries, kept or {}, all_contacts=options.all))
    else:
        print_blocks(*_blocks(shown, entries, options))
    return DONE


# For scripts


def _object(
    shown: Sequence[Entry], entries: Sequence[Entry], kept: Addresses, *, all_contacts: bool
) -> dict[str, Any]:
    return {
        "waiting_contacts": sum(len(entry.waiting) for entry in entries),
        "waiting_stations": sum(1 for entry in entries if entry.waiting),
        "reminder": reminder(entries) or None,
        "stations": [
            {
                "call": entry.base,
                "name": entry.name or None,
                "oldest_at": rfc3339(entry.oldest_at),
                "days_waiting": entry.days_waiting if entry.waiting else None,
                "address_known": entry.address_known,
                "via": (kept[entry.base].via or None) if entry.base in kept else None,
                "contacts": [_contact(each) for each in (entry.contacts if all_contacts else entry.waiting)],
            }
            for entry in shown
        ],
    }


def _contact(contact: CardContact) -> dict[str, Any]:
    card = contact.card
    return {
        "id": contact.id,
        "at": rfc3339(contact.at),
        "call": contact.call,
        "hertz": contact.hertz,
        "band": contact.band or None,
        "mode": contact.mode or None,
        "sent": contact.sent or None,
        "received": contact.received or None,
        "journal": str(contact.journal),
        "card": card.promised,
        "card_sent_on": card.sent_on.isoformat() if card.sent_on else None,
        "card_sent_via": card.sent_via,
        "card_received_on": card.received_on.isoformat() if card.received_on else None,
        "card_received_via": card.received_via,
    }


# For people


def _blocks(shown: Sequence[Entry], entries: Sequence[Entry], options: argparse.Namespace) -> Iterator[Block]:
    waiting = [entry for entry in entries if entry.waiting]
    contacts = sum(len(entry.waiting) for entry in waiting)
    if waiting:
        yield Words(f"{count_of(contacts, 'card')} to send to {count_of(len(waiting), 'station')}")
    elif not shown:
        yield Words("no card waits: every promise was kept")
    if options.older_than is not None:
        late = count_of(len(shown), "station") if shown else "no station"
        yield Words(f"{late} waiting more than {days_words(options.older_than)}{':' if shown else ''}")
    for entry in shown:
        rows = [
            Row([clean(cell) for cell in _cells(each)])
            for each in (entry.contacts if options.all else entry.waiting)
        ]
        yield Table(clean(_station(entry)), _COLUMNS, rows)
    if words := reminder(entries, OLD_DAYS):
        yield Words(clean(words), "warning")


def _station(entry: Entry) -> str:
    address = {True: "address known", False: "no address", None: "addresses cannot be read"}[
        entry.address_known
    ]
    waits = f"waiting {days_words(entry.days_waiting)}" if entry.waiting else "nothing waits"
    late = "! " if entry.days_waiting > OLD_DAYS else ""
    return ", ".join(filter(None, (late + entry.base, entry.name, waits, address)))


def _cells(contact: CardContact) -> tuple[str, ...]:
    channel = format_megahertz(contact.hertz) if contact.hertz else contact.band
    return (
        f"{contact.at:%Y-%m-%d %H:%M}",
        contact.call,
        f"{channel} {contact.mode}".strip(),
        _state(contact),
        f"id {contact.id}",
        contact.journal.stem,
    )


def _state(contact: CardContact) -> str:
    card = contact.card
    words = [
        "waiting" if card.waiting else "",
        f"sent {card.sent_on}{_how(card.sent_via)}" if card.sent_on else "",
        f"received {card.received_on}{_how(card.received_via)}" if card.received_on else "",
    ]
    return ", ".join(filter(None, words))


def _how(via: str | None) -> str:
    return f" {via}" if via else ""
