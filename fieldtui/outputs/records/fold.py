"""A journal folded for export: the session's own folds, over no more than a record needs, in bounded memory."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path as File
from typing import Any, cast

from msgspec import Struct
from msgspec.structs import replace

from fieldtui.entry.text import clean_text
from fieldtui.journal import events as kinds
from fieldtui.journal.chain import Damage, unfinished
from fieldtui.journal.file import Journal
from fieldtui.journal.packet_events import PacketHeard, PacketSent
from fieldtui.journal.position_events import PositionFixed
from fieldtui.outputs.records.spill import IN_MEMORY, Spilled
from fieldtui.radio.locator import cell_of
from fieldtui.radio.packets.values import Place
from fieldtui.session.cards import CardsFold, CardState
from fieldtui.session.contact_facts import ContactFacts, facts_of
from fieldtui.session.contacts import Contact
from fieldtui.session.packets.log import SharedPlace
from fieldtui.session.state import SessionState
from fieldtui.session.timeline import Moment
from fieldtui.session.ways import Point, centre_of

MOST_DAMAGE = 5
"""Places of a journal that are named; the rest is counted."""

EDGE_DEG = 0.001 / 60
"""A position written to a thousandth of a minute may fall over the edge of its cell by this much."""

_NEEDED = (
    kinds.SessionOpened, kinds.SessionResumed, kinds.SessionClosed, kinds.ContactLogged, kinds.ContactAmended,
    kinds.ContactWithdrawn, kinds.PlaceSet, kinds.RuleAssumed, kinds.ClockOffset, kinds.Tuned, PositionFixed, PacketHeard, PacketSent,
)  # fmt: skip

Progress = Callable[[int], object]
"""Called with the bytes that were read since the last call."""


class UnreadableError(Exception):
    """One line: why a file cannot be exported."""


class _Shared(Struct, frozen=True):
    """`SharedPlace` as it comes back from the disk, with types that a decoder can see."""

    call: str
    station: str
    place: Place
    moment: Moment


@dataclass(frozen=True, slots=True)
class Record:
    """A contact that stands, with all that the outputs say of it."""

    journal: str
    contact: Contact
    facts: ContactFacts
    cards: CardState
    station_call: str | None
    operator_call: str | None

    @property
    def at(self) -> datetime:
        """Its true UTC time."""
        return self.facts.at

    @property
    def band(self) -> str:
        """The ADIF name of the band it counts for, or nothing."""
        return self.facts.band.name if self.facts.band else ""

    @property
    def ended_at(self) -> datetime | None:
        """When it ended; None too for an end before its beginning: one of them was set wrong, or corrected since."""
        ended = self.contact.ended_at
        return ended if ended is not None and ended >= self.at.replace(microsecond=0) else None


class RecordsState(SessionState):
    """The state of a session without its battery, alarms, notes and calls only heard.

    Lines of other kinds still move the clocks, so that every time and place is what `SessionState` tells.
    """

    def __init__(self, in_memory: int = IN_MEMORY) -> None:
        super().__init__()
        self._contacts_by_id = Spilled(Contact, in_memory)
        self._card_marks = Spilled(CardState, in_memory)
        self._shared = Spilled(_Shared, in_memory)
        # The folds ask for no more of a dict than a mapping has.
        self.contacts.by_id = cast("dict[str, Contact]", self._contacts_by_id)
        self.cards = CardsFold(self.contacts, cast("dict[str, CardState]", self._card_marks))
        self.packets.shared = cast("dict[str, SharedPlace]", self._shared)
        needed = {kinds.KIND_OF[event] for event in _NEEDED}
        self._handlers = {kind: handler for kind, handler in self._handlers.items() if kind in needed}

    @property
    def has_fixes(self) -> bool:
        """Whether a receiver told a position."""
        return self.position.fix is not None

    def close(self) -> None:
        """Forget the contacts; the clocks stay."""
        self._contacts_by_id.close()
        self._card_marks.close()
        self._shared.close()

    def records(self, journal: str) -> Iterator[Record]:
        """The contacts that stand, in the order of the list."""
        return (self._record(journal, each) for each in self._contacts_by_id.in_order() if not each.withdrawn)

    def _record(self, journal: str, contact: Contact) -> Record:
        opened = self.opened
        return Record(
            journal,
            contact,
            facts_of(self, contact),
            self.cards.of(contact.id),
            contact.own_call or (opened.station_call if opened else None),
            contact.own_operator or (opened.operator_call if opened else None),
        )

    def _on_logged(self, event: kinds.ContactLogged, moment: Moment) -> None:
        if event.id in self.contacts.by_id:
            return
        super()._on_logged(event, moment)
        contact, fix = self.contacts.by_id[event.id], self.position.fix
        if event.at is None and fix is not None and _lies_in(fix, contact.own_locator):
            self.contacts.by_id[event.id] = replace(
                contact,
                own_lat_deg=fix.lat_deg,
                own_lon_deg=fix.lon_deg,
                own_height_metres=fix.height_metres,
            )


def is_position(lat_deg: float, lon_deg: float) -> bool:
    """Whether these are degrees on the Earth."""
    return -90 <= lat_deg <= 90 and -180 <= lon_deg <= 180


def _lies_in(fix: PositionFixed, locator: str | None) -> bool:
    """Whether a fix is where the operator says that the station is; an older place must not sharpen a newer one."""
    if not locator:
        return True
    cell = cell_of(locator)
    return cell is not None and (
        cell.south_deg - EDGE_DEG <= fix.lat_deg <= cell.north_deg + EDGE_DEG
        and cell.west_deg - EDGE_DEG <= fix.lon_deg <= cell.east_deg + EDGE_DEG
    )


@dataclass(slots=True)
class JournalRead:
    """A journal after its last line was read; `name` is clean text."""

    path: File
    name: str
    state: RecordsState
    damage: list[Damage]
    """The first `MOST_DAMAGE` places."""
    damaged: int

    @property
    def demo(self) -> bool:
        """Whether everything in it is invented."""
        return bool(self.state.opened and self.state.opened.demo)

    def records(self) -> Iterator[Record]:
        """The contacts that stand."""
        return self.state.records(self.name)

    def fixes(self) -> Iterator[tuple[PositionFixed, Moment]]:
        """The positions of a receiver, read from the file once more: there may be more than memory holds."""
        if not self.state.has_fixes:
            return
        again, given = _Fixes(), 0
        with Journal(self.path, writable=False) as journal:
            for batch in journal.follow():
                if batch.restarted:
                    again = _Fixes()
                for envelope in batch.envelopes:
                    if again.lines == self.state.lines:
                        return
                    again.apply(envelope)
                    fixes = again.taken()
                    # Lines that come once more, since one of them was taken back, were given already.
                    if again.lines > given:
                        yield from fixes
                given = max(given, again.lines)


class _Fixes(SessionState):
    """Only the clocks, and the fix that the last line told."""

    def __init__(self) -> None:
        super().__init__()
        self._handlers = {"position-fixed": self._on_fix}
        self._now: list[tuple[PositionFixed, Moment]] = []

    def taken(self) -> list[tuple[PositionFixed, Moment]]:
        """What came since the last call."""
        now, self._now = self._now, []
        return now

    def _on_fix(self, event: PositionFixed, moment: Moment) -> None:
        if is_position(event.lat_deg, event.lon_deg):
            self._now.append((event, moment))


def read_records(path: File, progress: Progress | None = None) -> JournalRead:
    """Fold a journal; damaged lines are passed over and counted.

    Raises:
        OSError: it cannot be read.
        UnreadableError: it is not a journal.
        sqlite3.Error: its contacts need the disk, and the disk is full.
    """
    state, damage, damaged, done = RecordsState(), list[Damage](), 0, 0
    with Journal(path, writable=False) as journal:
        for batch in journal.follow():
            if batch.restarted:
                state.close()
                state, damage, damaged, done = RecordsState(), [], 0, 0
            state.apply_all(batch.envelopes)
            damaged += _taken(journal.damage, damage)
            if progress:
                progress(journal.bytes_read - done)
                done = journal.bytes_read
        if journal.unfinished_bytes:
            damaged += _taken([unfinished(journal.lines)], damage)
    name = clean_text(path.stem, 100)
    if not state.lines and damaged:
        raise _no_journal(path)
    return JournalRead(path, name, state, damage, damaged)


def check_journals(paths: Iterable[File]) -> None:
    """See that each file is a journal, before anything is written: of a sound one a few lines are read.

    Raises:
        OSError: one cannot be read.
        UnreadableError: one is not a journal.
    """
    for path in paths:
        if not _may_be_journal(path):
            raise _no_journal(path)


def _may_be_journal(path: File) -> bool:
    """Whether there is a sound line in it, or nothing at all."""
    damaged = False
    with Journal(path, writable=False) as journal:
        for batch in journal.follow():
            if batch.envelopes:
                return True
            damaged = damaged or bool(journal.damage)
            del journal.damage[:]
        return not (damaged or journal.unfinished_bytes)


def _no_journal(path: File) -> UnreadableError:
    return UnreadableError(f"{clean_text(str(path), 300)}: not a journal of this program")


def _taken(found: list[Damage], kept: list[Damage]) -> int:
    """Move damage to where only the first places are kept; returns how many there were."""
    count = len(found)
    kept.extend(found[: max(0, MOST_DAMAGE - len(kept))])
    del found[:]
    return count


def own_place(record: Record) -> Point | None:
    """Latitude and longitude of this station: from a receiver, or the centre of its locator."""
    contact = record.contact
    lat_deg, lon_deg = contact.own_lat_deg, contact.own_lon_deg
    if lat_deg is not None and lon_deg is not None and is_position(lat_deg, lon_deg):
        return lat_deg, lon_deg
    return centre_of(contact.own_locator)


def text_of(value: Any, most: int = 3000) -> str:
    """Outside text on one line, without blanks around it; nothing for what is not given."""
    return clean_text(str(value), most).strip() if value not in (None, "") else ""
