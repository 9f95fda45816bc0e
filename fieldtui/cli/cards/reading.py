"""What the deeds of `fieldtui cards` read: calls, the folder of journals, the private addresses."""

from __future__ import annotations

import argparse
import re
from collections.abc import Sequence
from datetime import date
from pathlib import Path

from fieldtui.cli.files import folder_fault
from fieldtui.cli.output import complain, safe
from fieldtui.cli.progress import Progress
from fieldtui.entry.calls import is_written_as_call
from fieldtui.journal.folder import journal_folder
from fieldtui.journal.stamp import SystemClock
from fieldtui.outputs.cards.addresses import (
    AddressError,
    Addresses,
    addresses_path,
    others_may_read,
    read_addresses,
)
from fieldtui.outputs.cards.journals import CardsFound, read_contacts
from fieldtui.radio.callsign import read_call


class CallError(ValueError):
    """One line: what is wrong with the call of the command."""


def today() -> date:
    """The day by the system clock, UTC."""
    return SystemClock().now().at.date()


def bases_of(calls: Sequence[str]) -> list[str]:
    """The stations that calls name, each once, without strokes.

    Raises:
        CallError: one is not a call.
    """
    for call in calls:
        if not is_written_as_call(call) or "?" in call:
            raise CallError(f"{safe(call[:30])!r} is not a call: give letters, figures and /")
    return [*dict.fromkeys(read_call(call).core for call in calls)]


def folder_of(options: argparse.Namespace) -> Path:
    """The folder of journals.

    Raises:
        CallError: the one that was named is none.
    """
    if fault := folder_fault(options.folder):
        raise CallError(fault)
    folder: Path = options.folder or journal_folder()
    return folder


def contacts_in(options: argparse.Namespace, words: re.Pattern[bytes]) -> CardsFound:
    """Read the journals in which these words occur; says which cannot be read."""
    with Progress("reading journals") as progress:
        found = read_contacts(folder_of(options), words, demo=options.demo, progress=progress.show)
    if found.unreadable:
        names = ", ".join(safe(path.name) for path in found.unreadable[:3])
        complain(f"journals that cannot be read: {len(found.unreadable)} ({names}); cards may be missing")
    return found


def addresses() -> Addresses:
    """The private addresses; warns if others may read them.

    Raises:
        AddressError: the file cannot be understood.
    """
    path = addresses_path()
    found = read_addresses(path)
    if found and others_may_read(path):
        complain(f"others may read the addresses in {safe(path)}: chmod 600 closes it")
    return found


def addresses_if_readable() -> Addresses | None:
    """The same for those who can do without; says why they have to."""
    try:
        return addresses()
    except AddressError as error:
        complain(safe(error))
        return None
