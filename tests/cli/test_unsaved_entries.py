"""What no disk took is handed over as a journal: with its moments, readable by every command that reads journals."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from fieldtui.cli.session.running import _hand_over
from fieldtui.journal.events import ContactLogged
from fieldtui.journal.file import Draft, Journal
from fieldtui.journal.keeper import Keeper
from fieldtui.journal.stamp import Stamp
from fieldtui.journal.verify import verify
from tests.support.hand_clock import HandClock
from tests.support.journals import events_of

LOGGED = ContactLogged(
    id="4be01f92c7", call="W0QSL", sent="59", name="Jörn", remarks="\x9b31m", typed="w0qsl 59"
)


def test_the_keeper_remembers_when_it_was_entered(tmp_path: Path):
    clock = HandClock()
    keeper = Keeper(tmp_path, clock, on_batch=lambda _: None, on_trouble=lambda _: None)
    entered_at = clock.now()
    keeper.submit(LOGGED)
    clock.move(3600)
    assert keeper.stop() == [Draft(entered_at, LOGGED)]


def test_what_is_handed_over_is_a_journal(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys):
    monkeypatch.setenv("HOME", str(tmp_path))
    stamp = Stamp(datetime(2026, 6, 14, 18, 42, 7, 250_000, UTC), 5123.5, "6f1c0a2b")
    _hand_over([Draft(stamp, LOGGED), Draft(stamp, LOGGED)])
    (kept,) = tmp_path.glob("fieldtui-unsaved-*.jsonl")
    assert verify(kept).sound
    assert events_of(kept) == [LOGGED, LOGGED]
    with Journal(kept, writable=False) as journal:
        assert [line.stamp for batch in journal.follow() for line in batch.envelopes] == [stamp, stamp]
    told = capsys.readouterr().out
    assert told == kept.read_text()
    assert told.isascii(), "a terminal of any kind may have to show it"
    assert "\x9b" not in told
