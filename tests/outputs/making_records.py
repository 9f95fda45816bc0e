"""Journals for the tests of exports: written event by event, and read back as any fold reads them."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from fieldtui.journal.event_types import Event
from fieldtui.journal.events import ContactLogged
from fieldtui.journal.line import encode_line
from fieldtui.outputs.records.exporting import Format, Outcome, Wishes, export
from tests.session.making_lines import Outing

CREATED = datetime(2026, 6, 15, 8, 30, tzinfo=UTC)


def logged(contact_id: str = "c1", call: str = "W0QSL", **fields: Any) -> ContactLogged:
    """A contact."""
    return ContactLogged(id=contact_id, call=call, **fields)


def journal_of(outing: Outing, path: Path) -> Path:
    """The outing's lines as a real file."""
    seed, lines = 0, []
    for seq, envelope in enumerate(outing.lines, 1):
        line, seed = encode_line(seq, envelope.stamp, envelope.kind, bytes(envelope.data), seed)
        lines.append(line)
    path.write_bytes(b"".join(lines))
    return path


def written(path: Path, *events: Event, every_seconds: float = 60.0) -> Path:
    """A journal with these events, a minute apart."""
    outing = Outing()
    for number, event in enumerate(events):
        outing.at(number * every_seconds, event)
    return journal_of(outing, path)


def exported(paths: Path | Sequence[Path], to: Format, **wishes: object) -> tuple[bytes, Outcome]:
    """The file, and what the export came to."""
    out = bytearray()
    each = [paths] if isinstance(paths, Path) else paths
    outcome = export(each, to, out.extend, Wishes(CREATED, **wishes))  # type: ignore[arg-type]
    return bytes(out), outcome
