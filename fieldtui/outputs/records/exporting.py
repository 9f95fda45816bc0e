"""Journals to one file of another format, piece by piece: memory does not grow with what they hold."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Literal, Protocol

from fieldtui.outputs.records import adif, csv_table, geojson, gpx
from fieldtui.outputs.records.fold import JournalRead, Progress, Record, check_journals, read_records
from fieldtui.session.lacking import Lacking

Format = Literal["adif", "csv", "gpx", "geojson"]
Write = Callable[[bytes], object]

PROGRESS_STEP = 200
"""Contacts between two looks at the progress."""


@dataclass(frozen=True, slots=True)
class Wishes:
    """What the caller may choose: the moment to write as that of creation, and what a format can take."""

    created: datetime
    my_names: dict[str, str] = field(default_factory=dict)
    byte_order_mark: bool = False


@dataclass(slots=True)
class Outcome:
    """What an export came to; `notices` are lines for people, of clean text.

    `contacts` stand in the journals; `left_out` of them are not in the file.
    """

    contacts: int = 0
    left_out: int = 0
    notices: list[str] = field(default_factory=list)


class Writer(Protocol):
    """One format: all before the records, each record, all after them."""

    def begin(self) -> bytes:
        """The first bytes."""
        ...

    def record(self, record: Record) -> Iterator[bytes]:
        """What one contact adds."""
        ...

    def end(self, journals: Sequence[JournalRead]) -> Iterator[bytes]:
        """The last bytes."""
        ...

    def notices(self) -> Iterator[str]:
        """What could not be written as it is."""
        ...

    @property
    def left_out(self) -> int:
        """How many contacts are not in the file."""
        ...


def export(
    paths: Sequence[Path], to: Format, write: Write, wishes: Wishes, progress: Progress | None = None
) -> Outcome:
    """Write the contacts that stand in these journals, one journal after the other.

    `progress` is called with bytes that are done, half of them for reading; all of a journal are as many as it has.

    Raises:
        OSError, UnreadableError, sqlite3.Error: see `read_records`; what was written so far is not a whole file.
            Nothing was written if one of the files is not a journal.
    """
    check_journals(paths)
    writer, outcome, done = _WRITERS[to](wishes), Outcome(), list[JournalRead]()
    write(writer.begin())
    for path in paths:
        journal = read_records(path, lambda read: progress(read // 2) if progress else None)
        step = path.stat().st_size * PROGRESS_STEP // (2 * len(journal.state.contacts.by_id) or 1)
        lacking = Lacking()
        for record in journal.records():
            outcome.contacts += 1
            lacking.note(record.contact)
            if progress and outcome.contacts % PROGRESS_STEP == 0:
                progress(step)
            for piece in writer.record(record):
                write(piece)
        outcome.notices += [*_of_journal(journal), *(f"{journal.name}: {words}" for words in lacking.words())]
        journal.state.close()
        done.append(journal)
    for piece in writer.end(done):
        write(piece)
    outcome.notices += writer.notices()
    outcome.left_out = writer.left_out
    return outcome


def _of_journal(journal: JournalRead) -> Iterator[str]:
    if journal.demo:
        yield f"{journal.name} is a demo: everything in it is invented"
    for place in journal.damage:
        yield f"{journal.name}: line {place.line}: {place.what}"
    if journal.damaged:
        more = journal.damaged - len(journal.damage)
        and_more = f"; and {more} more places" if more else ""
        yield f"{journal.name} is damaged{and_more}: what is sound was exported ('fieldtui verify' tells more)"


class _All:
    """A format that has a place for every contact."""

    left_out = 0


class _Adif(_All):
    def __init__(self, wishes: Wishes) -> None:
        self._created = wishes.created
        self._records = adif.AdifRecords(wishes.my_names)

    def begin(self) -> bytes:
        return adif.header(self._created)

    def record(self, record: Record) -> Iterator[bytes]:
        yield self._records.line(record)

    def end(self, _: Sequence[JournalRead]) -> Iterator[bytes]:
        return iter(())

    def notices(self) -> Iterator[str]:
        return self._records.losses.lines()


class _Csv(_All):
    def __init__(self, wishes: Wishes) -> None:
        self._mark = csv_table.BYTE_ORDER_MARK if wishes.byte_order_mark else b""

    def begin(self) -> bytes:
        return self._mark + csv_table.header()

    def record(self, record: Record) -> Iterator[bytes]:
        yield csv_table.line(record)

    def end(self, _: Sequence[JournalRead]) -> Iterator[bytes]:
        return iter(())

    def notices(self) -> Iterator[str]:
        return iter(())


class _Gpx:
    def __init__(self, wishes: Wishes) -> None:
        self._created = wishes.created
        self._waypoints = gpx.Waypoints()

    def begin(self) -> bytes:
        return gpx.header(self._created)

    def record(self, record: Record) -> Iterator[bytes]:
        return self._waypoints.lines(record)

    def end(self, journals: Sequence[JournalRead]) -> Iterator[bytes]:
        for journal in journals:
            yield from gpx.track(journal)
        yield gpx.FOOTER

    @property
    def left_out(self) -> int:
        return self._waypoints.without_place

    def notices(self) -> Iterator[str]:
        return _without_place(self._waypoints.without_place, "left out")


class _GeoJson(_All):
    def __init__(self, _: Wishes) -> None:
        self._features = geojson.Features()

    def begin(self) -> bytes:
        return geojson.HEADER

    def record(self, record: Record) -> Iterator[bytes]:
        return self._features.parts(record)

    def end(self, _: Sequence[JournalRead]) -> Iterator[bytes]:
        yield self._features.footer()

    def notices(self) -> Iterator[str]:
        return _without_place(self._features.without_place, "there without a geometry")


def _without_place(count: int, what: str) -> Iterator[str]:
    if count:
        yield f"{count} contact{'s' if count > 1 else ''} whose place is not known: {what}"


_WRITERS: dict[Format, Callable[[Wishes], Writer]] = {
    "adif": _Adif,
    "csv": _Csv,
    "gpx": _Gpx,
    "geojson": _GeoJson,
}
