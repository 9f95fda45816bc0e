"""Journals and events made for tests; everything in them is invented."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from fieldtui.journal.chain import Damage
from fieldtui.journal.disk import Disk
from fieldtui.journal.event_types import Event
from fieldtui.journal.events import BatterySampled, ContactLogged, Identified, NoteWritten, SessionOpened
from fieldtui.journal.file import Batch, Draft, Journal
from fieldtui.journal.line import FIRST_SEED, Envelope, encode_data, encode_line, kind_of, read_event
from fieldtui.journal.stamp import Stamp
from fieldtui.journal.taken_back import as_written

START = datetime(2026, 6, 14, 17, 3, 22, 418_000, tzinfo=UTC)
BOOT = "6f1c0a2b"
CALLS = ("KD7QSV", "W0QSL", "VE7QRZ", "K1QRN/P", "N0QTH")


def stamp(seconds: float = 0.0, *, boot: str = BOOT, wall_off: float = 0.0) -> Stamp:
    """So long after the start; `wall_off` is how wrong the wall clock is."""
    return Stamp(START + timedelta(seconds=seconds + wall_off), 5123.418 + seconds, boot)


def contact(number: int, **fields: Any) -> ContactLogged:
    """One of endlessly many contacts."""
    name = fields.pop("id", f"c{number:04}")
    return ContactLogged(id=name, call=CALLS[number % len(CALLS)], sent="59", received="57", **fields)


def outing() -> list[Event]:
    """A short session of several kinds, with letters whose bits are one flip away from a line end."""
    return [
        SessionOpened(
            program="fieldtui test", station_call="KD7QSV", place="Larkspur Ridge", locator="CN94hb"
        ),
        contact(1, name="Jara", place="Joss Hill", remarks="J*J ÊÊ Ⴊ"),
        BatterySampled(feed="shunt", volts=13.12, amps=-1.2, covered_seconds=10.0, out_amp_seconds=12.0),
        NoteWritten(text="antenna on the fence, \u2028 wind 3 from NW"),
        Identified(said="KD7QSV"),
    ]


def draft(event: Event, seconds: float = 0.0) -> Draft:
    """An event at a moment."""
    return Draft(stamp(seconds), event)


def lines_of(events: Iterable[Event], *, seed: int = FIRST_SEED, first_seq: int = 1) -> list[bytes]:
    """The lines of a journal with these events, one a second, each with its line end."""
    lines = []
    for number, event in enumerate(events):
        line, seed = encode_line(first_seq + number, stamp(number), kind_of(event), encode_data(event), seed)
        lines.append(line)
    return lines


def raw_line(seq: int, kind: str, data: bytes, seed: int) -> tuple[bytes, int]:
    """A sound line that this version could not have written."""
    return encode_line(seq, stamp(seq), kind, data, seed)


@dataclass(frozen=True, slots=True)
class Reading:
    """All that a fresh reader finds in a file."""

    envelopes: list[Envelope]
    damage: list[Damage]
    unfinished_bytes: int

    @property
    def seqs(self) -> list[int]:
        """The numbers of the lines that were kept."""
        return [envelope.seq for envelope in self.envelopes]

    @property
    def events(self) -> list[Event | None]:
        """What the kept lines tell, those too that were taken back."""
        return [read_event(as_written(envelope)) for envelope in self.envelopes]

    @property
    def damaged_lines(self) -> list[int]:
        """The line numbers that are named."""
        return [place.line for place in self.damage]


def read(path: Path) -> Reading:
    """Read a file as `show` does."""
    with Journal(path, writable=False) as journal:
        follower = Follower()
        follower.take(journal.follow())
        return Reading(follower.envelopes, list(journal.damage), journal.unfinished_bytes)


def write(path: Path, events: Sequence[Event], *, disk: Disk | None = None) -> None:
    """Append events and sync, as a program that then ends."""
    with Journal(path, disk=disk) as journal:
        journal.append([draft(event, number) for number, event in enumerate(events)])
        journal.sync()


def torn(path: Path) -> Path:
    """Where the torn ends of a journal go."""
    return path.with_name(path.name + ".torn")


class Follower:
    """Keeps what a consumer of batches would have folded."""

    def __init__(self) -> None:
        self.envelopes: list[Envelope] = []
        self.restarts = 0

    def take(self, batches: Iterable[Batch]) -> None:
        """Fold batches."""
        for batch in batches:
            if batch.restarted:
                self.envelopes.clear()
                self.restarts += 1
            self.envelopes += batch.envelopes

    @property
    def seqs(self) -> list[int]:
        """The numbers of the lines folded."""
        return [envelope.seq for envelope in self.envelopes]
