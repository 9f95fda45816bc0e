"""`fieldtui cards sent`, `received` and `add`: written into the journals of the contacts, closed or not."""

from __future__ import annotations

import argparse
import re
from collections.abc import Sequence
from datetime import date, timedelta
from pathlib import Path

from fieldtui.cli.cards.reading import CallError, bases_of, contacts_in, today
from fieldtui.cli.exits import CALL_AT_FAULT, DATA_AT_FAULT, DONE
from fieldtui.cli.output import complain, safe
from fieldtui.journal.errors import JournalError, disk_words
from fieldtui.journal.ids import new_id
from fieldtui.journal.stamp import SystemClock
from fieldtui.outputs.cards.journals import append_events, words_of
from fieldtui.outputs.cards.marks import Deed, Mark, MarkError, mark_of
from fieldtui.outputs.cards.promises import CardContact
from fieldtui.session.deed import one_act

_DEEDS = {"sent": Deed.SENT, "received": Deed.RECEIVED, "add": Deed.PROMISED}
_DAY = re.compile(r"\d{4}-\d\d-\d\d", re.ASCII)


def run_mark(options: argparse.Namespace) -> int:
    """Choose the contacts, append, sync, say so; a station that cannot be marked stops no other."""
    try:
        on = _day(getattr(options, "on", None))
        bases = bases_of(options.calls)
        if options.contact and len(bases) > 1:
            raise CallError("--contact goes with one CALL: mark the stations one by one")
        contacts = contacts_in(options, words_of(bases)).contacts
    except CallError as error:
        complain(str(error))
        return CALL_AT_FAULT
    code = DONE
    for base in bases:
        code = max(code, _mark_station(base, contacts, on, options))
    return code


def _day(text: str | None) -> date:
    now = today()
    if text is None:
        return now
    try:
        if _DAY.fullmatch(text) is None:
            raise ValueError
        day = date.fromisoformat(text)
    except ValueError:
        raise CallError(f"--on {safe(text[:30])!r} is not a day: write YYYY-MM-DD, such as {now}") from None
    # East of Greenwich tomorrow has begun already.
    if day > now + timedelta(days=1):
        raise CallError(f"--on {day} is still to come: check the day, and the clock of this computer ({now})")
    return day


def _mark_station(base: str, contacts: Sequence[CardContact], on: date, options: argparse.Namespace) -> int:
    of_one = sorted((each for each in contacts if each.base == base), key=lambda each: each.at)
    try:
        mark = mark_of(
            _DEEDS[options.deed], base, of_one, on=on, via=getattr(options, "via", None),
            contact_ids=options.contact or (), undo=options.undo,
        )  # fmt: skip
    except MarkError as error:
        complain(safe(error))
        return DATA_AT_FAULT
    return _write(mark)


def _write(mark: Mark) -> int:
    """Journal by journal: what one disk refuses does not undo what another took."""
    by_journal: dict[Path, list[CardContact]] = {}
    for contact in mark.contacts:
        by_journal.setdefault(contact.journal, []).append(contact)
    code = DONE
    for journal, contacts in by_journal.items():
        try:
            events = one_act(tuple(mark.event(each) for each in contacts), new_id)
            append_events(journal, events, SystemClock().now())
        except JournalError as error:
            complain(f"NOT SAVED: {safe(journal.name)}: {error}")
            code = DATA_AT_FAULT
        except OSError as error:
            complain(f"NOT SAVED: {safe(journal.name)}: {disk_words(error)}")
            code = DATA_AT_FAULT
        else:
            print(safe(mark.words_for(contacts)))
    return code
