"""`fieldtui past`: earlier contacts with a station, over all journals."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from fieldtui.cli.exits import CALL_AT_FAULT, DONE
from fieldtui.cli.files import folder_fault
from fieldtui.cli.output import complain, print_blocks, print_json, safe
from fieldtui.cli.progress import Progress
from fieldtui.cli.units import add_units_option, unit_of
from fieldtui.entry.calls import is_written_as_call, may_be_heard
from fieldtui.history import Candidate, History, Past, PastContact, history_path
from fieldtui.journal.folder import journal_folder
from fieldtui.journal.rfc3339 import rfc3339
from fieldtui.outputs.page.blocks import Block, Column, Row, Table, Words, clean
from fieldtui.radio.bands import band_of
from fieldtui.radio.callsign import read_call
from fieldtui.radio.frequency import format_megahertz
from fieldtui.radio.units import count_of
from fieldtui.session.distance import distance_words

HELP = (
    "Earlier contacts with a station over all journals. In CALL, ? stands for a character not heard\n"
    "(quote it: the shell has its own use for it). Calls that only sound like it are named too."
)
EXAMPLE = "fieldtui past 'k?7qs?'"

MOST_STATIONS = 50
"""That a half-heard call is taken for."""
MOST_SHOWN = 10
"""Contacts and stations listed for people; --json has them all."""
_COLUMNS = (Column(""), Column(""), Column(""), Column(""), Column("", long=True), Column("", long=True))
"""A few lines need no names above them."""


def configure(parser: argparse.ArgumentParser) -> None:
    """Arguments."""
    parser.add_argument("call", metavar="CALL", help="a call sign, with ? for each character not heard")
    parser.add_argument("--json", action="store_true", help="one JSON object")
    parser.add_argument("--folder", type=Path, metavar="DIR", help="another folder of journals")
    parser.add_argument("--demo", action="store_true", help="count the journals of demos too")
    add_units_option(parser)


@dataclass(frozen=True, slots=True)
class _Found:
    """The answer: what fits the call as given, and what only sounds like it."""

    past: Past
    contacts: list[PastContact]
    candidates: list[Candidate]
    stations: int = 1


def run(options: argparse.Namespace) -> int:
    """Bring the index up to date, ask it, print; that nothing is known is an answer too."""
    call, folder = options.call.strip(), options.folder or journal_folder()
    if not (is_written_as_call(call) or may_be_heard(call)):
        complain(
            f"{safe(call[:30])!r} is not a call: give letters, figures and /, and ? for what was not heard"
        )
        return CALL_AT_FAULT
    if fault := folder_fault(options.folder):
        complain(fault)
        return CALL_AT_FAULT
    with History(history_path(), folder, demo=options.demo) as history:
        found = _ask(history, read_call(call).text)
    if options.json:
        print_json(_object(found))
    else:
        print_blocks(*_blocks(found, miles=unit_of(options) == "mi"))
    return DONE


def _ask(history: History, call: str) -> _Found:
    with Progress("reading journals") as progress:
        words = history.refresh(progress.show).words
        found = _look_up(history, call)
        if history.damaged:
            # The damage shows only where it is met: made again, the index tells.
            words = history.refresh(progress.show).words
            found = _look_up(history, call)
    if words:
        complain(safe(words))
    return found


def _look_up(history: History, call: str) -> _Found:
    if "?" not in call and (past := history.of_call(call)).known:
        return _Found(past, history.contacts_of(call), [])
    candidates = history.matching(call, MOST_STATIONS)
    return _fitting(history, call, candidates)


def _fitting(history: History, call: str, candidates: list[Candidate]) -> _Found:
    """The contacts of all stations that fit as heard; if that is one station, all that is known of it."""
    fits = {read_call(each.call).core: each.call for each in reversed(candidates) if not each.confusions}
    if len(fits) == 1:
        (meant,) = fits.values()
        return _Found(replace(history.of_call(meant), call=call), history.contacts_of(meant), candidates)
    contacts = [contact for each in fits.values() for contact in history.contacts_of(each)]
    contacts.sort(key=lambda contact: contact.at)
    first_at, last_at = (contacts[0].at, contacts[-1].at) if contacts else (None, None)
    past = Past(call, len(contacts), first_at=first_at, last_at=last_at)
    return _Found(past, contacts, candidates, len(fits))


# For scripts


def _object(found: _Found) -> dict[str, Any]:
    past = found.past
    return {
        "call": past.call,
        "known": past.known,
        "count": past.count,
        "name": past.name,
        "place": past.place,
        "locator": past.locator,
        "first_at": rfc3339(past.first_at),
        "last_at": rfc3339(past.last_at),
        "bands": list(past.bands),
        "distance_m": _rounded(past.distance_m, 1),
        "bearing_deg": _rounded(past.bearing_deg, 2),
        "contacts": [_contact(contact) for contact in found.contacts],
        "candidates": [
            {
                "call": each.call,
                "count": each.count,
                "confusions": [list(pair) for pair in each.confusions],
                "last_at": rfc3339(each.last_at),
            }
            for each in found.candidates
        ],
    }


def _contact(contact: PastContact) -> dict[str, Any]:
    way = contact.way
    return {
        "at": rfc3339(contact.at),
        "call": contact.call,
        "sent": contact.sent,
        "received": contact.received,
        "name": contact.name,
        "place": contact.place,
        "locator": contact.locator,
        "hertz": contact.hertz,
        "band": contact.band,
        "mode": contact.mode,
        "watts": contact.watts,
        "remarks": contact.remarks,
        "card": contact.card,
        "distance_m": _rounded(way.distance_m if way else None, 1),
        "bearing_deg": _rounded(way.bearing_deg if way else None, 2),
        "journal": str(contact.journal),
        "source": contact.source,
        "number": contact.number,
        "id": contact.id,
    }


def _rounded(value: float | None, digits: int) -> float | None:
    return None if value is None else round(value, digits)


# For people


def _blocks(found: _Found, *, miles: bool) -> Iterator[Block]:
    past = found.past
    who = _who(found, miles=miles) if past.known else f"{past.call}: no earlier contact"
    shown = found.contacts[-MOST_SHOWN:]
    newest = f"; the newest {MOST_SHOWN}:" if len(shown) < len(found.contacts) else ""
    yield Table(f"{who}{newest}", _COLUMNS, [Row([clean(cell) for cell in _cells(each)]) for each in shown])
    others = [each for each in found.candidates if each.call != past.call]
    yield from (Words(_candidate(each)) for each in others[:MOST_SHOWN])
    if len(others) > MOST_SHOWN:
        yield Words(f"and {len(others) - MOST_SHOWN} more")


def _who(found: _Found, *, miles: bool) -> str:
    past = found.past
    who = ", ".join(filter(None, (past.name, past.place, past.locator)))
    if found.stations > 1:
        who = f"fits {found.stations} stations"
    since = f" since {past.first_at:%Y-%m-%d}" if past.first_at else ""
    far = distance_words(past.distance_m, past.bearing_deg, miles=miles)
    parts = (past.call, who, count_of(past.count, "contact") + since, " ".join(past.bands), far)
    return ", ".join(part for part in parts if part)


def _cells(contact: PastContact) -> tuple[str, ...]:
    return (
        f"{contact.at:%Y-%m-%d %H:%M}",
        contact.call,
        f"{contact.sent or '-'} {contact.received or '-'}",
        f"{_channel(contact)} {contact.mode or ''}".strip(),
        ", ".join(filter(None, (contact.name, contact.place, contact.locator))),
        contact.journal.stem,
    )


def _channel(contact: PastContact) -> str:
    """The frequency; the band that was sent on, where the frequency does not tell it."""
    if contact.hertz is None:
        return contact.band or ""
    heard_on = band_of(contact.hertz)
    told = contact.band is None or (heard_on is not None and heard_on.name == contact.band)
    return format_megahertz(contact.hertz) + ("" if told else f" (sent on {contact.band})")


def _candidate(each: Candidate) -> str:
    taken = ", ".join(f"{meant} heard as {heard}" for heard, meant in each.confusions)
    last = f"last {each.last_at:%Y-%m-%d}" + (f" ({taken})" if taken else "")
    return f"perhaps {each.call}, {count_of(each.count, 'contact')}, {last}"
