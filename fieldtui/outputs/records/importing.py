"""Contacts of an ADI file into a journal of their own, in bounded memory.

The journal lies with the others, closed, so that the history knows its contacts as it knows all others. It gets
its name when it is whole: an import that was cut short leaves nothing behind.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Protocol

from fieldtui.entry.text import clean_text
from fieldtui.history.known import Like
from fieldtui.journal.disk import Disk
from fieldtui.journal.event_types import Event
from fieldtui.journal.events import SessionClosed, SessionOpened
from fieldtui.journal.file import Draft, Journal
from fieldtui.journal.made_folder import sync_again
from fieldtui.journal.stamp import Clock
from fieldtui.outputs.records.adi_contacts import NotTakenError, ReadContact, read_contact
from fieldtui.outputs.records.adi_reader import AdiReader, AdiRecord, Doubt
from fieldtui.outputs.records.spill import Spilled
from fieldtui.session.contact_band import band_of_contact
from fieldtui.session.opening import PROGRAM

PIECE_BYTES = 256 * 1024
BATCH = 500
"""Contacts that are written and synced together."""
MOST_EXAMPLES = 3
MOST_REASONS = 200
"""A hostile file may have any number of field names; what comes after these is counted together."""


class Knows(Protocol):
    """The history, as far as an import asks it."""

    def knows(self, like: Like) -> bool:
        """Whether such a contact is there."""
        ...


class Tally:
    """Counts by reason, with the numbers of the first records that each applied to."""

    def __init__(self) -> None:
        self.counts: dict[str, int] = {}
        self.examples: dict[str, list[int]] = {}

    def add(self, reason: str, number: int) -> None:
        """Once more."""
        if reason not in self.counts and len(self.counts) >= MOST_REASONS:
            reason = "others"
        self.counts[reason] = self.counts.get(reason, 0) + 1
        examples = self.examples.setdefault(reason, [])
        if len(examples) < MOST_EXAMPLES:
            examples.append(number)


@dataclass(slots=True)
class Report:
    """What became of a file: counts of records, and why some or some of their values were not taken."""

    records: int = 0
    added: int = 0
    known: int = 0
    not_taken: Tally = field(default_factory=Tally)
    values: Tally = field(default_factory=Tally)
    fields: Tally = field(default_factory=Tally)
    file: Tally = field(default_factory=Tally)
    header: Mapping[str, str] = field(default_factory=dict)
    journal: Path | None = None


class Import:
    """Reads a file, keeps what is new.

    `now` is the time of the import; what is dated later is remarked. `doubtful` takes records too that were broken
    and could be mended.
    """

    def __init__(self, history: Knows, now: datetime, *, doubtful: bool = False) -> None:
        self.report = Report()
        self._history = history
        self._now = now
        self._doubtful = doubtful
        self._seen: Spilled[bool] = Spilled(bool)

    def new_contacts(self, pieces: Iterable[bytes]) -> Iterator[ReadContact]:
        """The contacts that are neither in the history nor earlier in the file."""
        for number, record in enumerate(self._records(pieces), 1):
            self.report.records = number
            contact = self._understood(record)
            if contact is None:
                continue
            self._tell(contact, record.number)
            if self._is_known(contact):
                self.report.known += 1
            else:
                self.report.added += 1
                yield contact
        self._seen.close()

    def _records(self, pieces: Iterable[bytes]) -> Iterator[AdiRecord]:
        reader = AdiReader()
        for piece in pieces:
            yield from reader.feed(piece)
        yield from reader.close()
        self.report.header = reader.header
        for remark, (count, first) in reader.remarks.items():
            self.report.file.counts[remark] = count
            self.report.file.examples[remark] = [first] if first else []

    def _understood(self, record: AdiRecord) -> ReadContact | None:
        if record.doubts and not self._doubtful:
            self.report.not_taken.add(record.doubts[0], record.number)
            return None
        try:
            contact = read_contact(record.fields, self._now)
        except NotTakenError as error:
            self.report.not_taken.add(str(error), record.number)
            return None
        for doubt in record.doubts:
            self.report.values.add(f"taken in spite of {Doubt(doubt)}", record.number)
        return contact

    def _tell(self, contact: ReadContact, number: int) -> None:
        for remark in contact.remarks:
            self.report.values.add(remark, number)
        for name in contact.not_kept:
            self.report.fields.add(clean_text(name, 40), number)

    def _is_known(self, read: ReadContact) -> bool:
        if read.contact.id in self._seen:
            return True
        self._seen[read.contact.id] = True
        return self._history.knows(_like(read))


def _like(read: ReadContact) -> Like:
    contact = read.contact
    band = band_of_contact(contact)
    return Like(
        contact.call,
        read.at,
        band=band.name if band else None,
        mode=contact.mode,
        to_the_minute=read.to_the_minute,
    )


def write_journal(contacts: Iterable[ReadContact], path: Path, source: str, clock: Clock) -> bool:
    """Write contacts into a new, closed journal; no file is made if there are none.

    `source` is the name of the file that they come from. Returns whether there is a journal now.

    Raises:
        JournalError, OSError: the disk refuses; there is no such journal.
    """
    batches = _batches(_lines(contacts), BATCH)
    first = next(batches, None)
    if first is None:
        return False
    part = path.with_name(path.name + ".part")
    part.unlink(missing_ok=True)
    try:
        with Journal(part) as journal:
            opening = SessionOpened(program=PROGRAM, imported=clean_text(source, 200))
            _append(journal, [opening, *first], clock)
            for batch in batches:
                _append(journal, batch, clock)
            _append(journal, [SessionClosed()], clock)
        part.rename(path)
    except BaseException:
        with suppress(OSError):
            part.unlink()
        raise
    # It counts from here on, whatever a sync says. Once more the file: on FAT only that puts it under its new name.
    with suppress(OSError):
        sync_again(path)
        Disk().sync_folder(path.parent)
    return True


def _lines(contacts: Iterable[ReadContact]) -> Iterator[Event]:
    for read in contacts:
        yield read.contact
        yield from read.cards


def _batches(events: Iterator[Event], size: int) -> Iterator[list[Event]]:
    batch: list[Event] = []
    for event in events:
        batch.append(event)
        if len(batch) >= size:
            yield batch
            batch = []
    if batch:
        yield batch


def _append(journal: Journal, events: list[Event], clock: Clock) -> None:
    stamp = clock.now()
    journal.append([Draft(stamp, event) for event in events])
    journal.sync()


def pieces_of(path: Path, progress: Callable[[int], object] | None = None) -> Iterator[bytes]:
    """A file in pieces.

    Raises:
        OSError: it cannot be read.
    """
    with path.open("rb") as file:
        while piece := file.read(PIECE_BYTES):
            if progress:
                progress(len(piece))
            yield piece
