"""Which session goes on at the next start, whatever the clock says and whatever the journals are called."""

from __future__ import annotations

import os
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from fieldtui.cli.session.journal_choice import choose_journal, journal_to_watch
from fieldtui.journal.card_events import CardSent
from fieldtui.journal.event_types import Event
from fieldtui.journal.events import BatterySampled, SessionClosed, SessionOpened
from fieldtui.journal.file import Draft, Journal
from fieldtui.journal.folder import fresh_path, holds_nothing
from fieldtui.journal.stamp import Stamp, SystemClock
from fieldtui.journal.unfinished import MOST_FAR, MOST_NEAR, newest, unfinished
from tests.journal.making import contact

NOW = datetime(2026, 6, 14, 19, 0, tzinfo=UTC)
OPENED, CLOSED = SessionOpened(program="fieldtui test"), SessionClosed()
HOURS = 3600.0


def now(boot: str = "b", mono: float = 60.0, at: datetime = NOW) -> Stamp:
    """This moment: a minute after the start of boot b."""
    return Stamp(at, mono, boot)


class Folder:
    """Journals as they come to be: their names and their times on the disk are those of the clock."""

    def __init__(self, path: Path) -> None:
        self.path = path

    def session(
        self,
        last_at: datetime,
        *,
        closed: bool = False,
        boot: str = "a",
        mono: float = 5000.0,
        place: str = "hill",
    ) -> Path:
        """A session of half an hour whose last line was written then."""
        begun = last_at - timedelta(minutes=30)
        path = fresh_path(self.path, begun, place)
        self.add(path, begun, OPENED, boot=boot, mono=mono - 1800)
        self.add(path, last_at, CLOSED if closed else contact(1), boot=boot, mono=mono)
        return path

    def add(self, path: Path, at: datetime, *events: Event, boot: str = "a", mono: float = 5000.0) -> None:
        """Further lines."""
        with Journal(path) as journal:
            journal.append([Draft(Stamp(at, mono, boot), event) for event in events])
        os.utime(path, (at.timestamp(), at.timestamp()))

    def resumed(self, at: Stamp) -> Path | None:
        """What the next start goes on with by itself."""
        left = unfinished(self.path, at)
        return left.path if left and left.goes_on else None


@pytest.fixture
def folder(tmp_path: Path) -> Folder:
    return Folder(tmp_path)


def ago(hours: float) -> datetime:
    return NOW - timedelta(hours=hours)


def test_an_unfinished_session_goes_on_for_eighteen_hours(folder: Folder):
    path = folder.session(ago(17.9))
    assert folder.resumed(now()) == path
    assert folder.resumed(now(at=NOW + timedelta(hours=1))) is None
    left = unfinished(folder.path, now(at=NOW + timedelta(hours=1)))
    assert left is not None
    assert left.age_seconds == pytest.approx(18.9 * HOURS), "named, with its age, so that it can be told"


def test_of_two_sessions_in_one_minute_the_unfinished_one_goes_on(folder: Folder):
    """`hill-2` sorts before `hill`."""
    first = folder.session(ago(1), closed=True)
    second = folder.session(ago(1))
    assert (first.name, second.name) == ("2026-06-14-1730-hill.jsonl", "2026-06-14-1730-hill-2.jsonl")
    assert folder.resumed(now()) == second
    assert newest(folder.path, now()) == second


def test_the_tenth_session_of_a_minute_is_later_than_the_second(folder: Folder):
    paths = [folder.session(ago(1)) for _ in range(11)]
    assert folder.resumed(now()) == paths[-1]


def test_a_clock_that_stands_in_the_past_does_not_hide_the_session_of_today(folder: Folder):
    """Last week the clock was right; today the board has none, and the power failed after fifty minutes."""
    folder.session(NOW + timedelta(days=900), closed=True)
    folder.session(NOW + timedelta(days=893))
    today = folder.session(ago(50 / 60))
    assert folder.resumed(now()) == today
    assert newest(folder.path, now()) == today


def test_a_clock_that_falls_back_at_a_power_cut_does_not_part_the_day(folder: Folder):
    """The network had set it; after the cut it begins where the system was built, and no network is there."""
    folder.session(ago(24 * 7), closed=True)
    today = folder.session(NOW)
    built = datetime(2025, 11, 5, tzinfo=UTC)
    assert folder.resumed(now(at=built)) == today
    folder.add(today, NOW, CLOSED)
    assert folder.resumed(now(at=built)) is None


def test_an_old_session_that_was_never_closed_does_not_go_on_when_others_came_after_it(folder: Folder):
    folder.session(ago(24 * 40))
    folder.session(ago(24 * 7), closed=True)
    assert unfinished(folder.path, now(at=datetime(2025, 11, 5, tzinfo=UTC))) is None
    assert unfinished(folder.path, now()) is None


def test_within_one_boot_the_clock_may_be_set_by_years(folder: Folder):
    """An hour ago by the clock that never steps, three years ago by the other."""
    today = folder.session(datetime(2023, 3, 1, tzinfo=UTC), boot="b", mono=9000.0)
    assert folder.resumed(now(mono=9000.0 + HOURS)) == today
    assert folder.resumed(now(mono=9000.0 + 19 * HOURS)) is None


def test_marks_of_cards_do_not_make_an_old_session_young(folder: Folder):
    old = folder.session(ago(24 * 30))
    folder.add(old, ago(0.1), *[CardSent(contact="c0001", on="2026-06-14")] * 600, boot="b")
    assert folder.resumed(now()) is None


def test_much_that_follows_the_opening_is_looked_through(folder: Folder):
    path = folder.session(ago(3), closed=True)
    folder.add(path, ago(2), *[BatterySampled(feed="shunt", volts=13.1, amps=-0.4)] * 3000)
    assert folder.resumed(now()) is None
    folder.add(path, ago(1), OPENED)
    assert folder.resumed(now()) == path


def test_a_file_that_a_session_is_about_to_fill_is_taken_and_a_foreign_one_is_not(folder: Folder):
    waiting = folder.path / "2026-06-14-1859-hill.jsonl"
    waiting.touch()
    os.utime(waiting, (NOW.timestamp(), NOW.timestamp()))
    foreign = folder.path / "2026-06-14-1900-else.jsonl"
    foreign.write_text('{"some": "thing"}\n')
    os.utime(foreign, (NOW.timestamp(), NOW.timestamp()))
    assert folder.resumed(now()) == waiting
    assert holds_nothing(waiting)
    assert holds_nothing(folder.path / "none.jsonl")
    assert not holds_nothing(foreign)


def test_a_thousand_journals_are_not_all_read(folder: Folder, monkeypatch: pytest.MonkeyPatch):
    template = folder.session(ago(24), closed=True).read_bytes()
    for number in range(1000):
        path = folder.path / f"2025-01-01-{number:04}-hill.jsonl"
        path.write_bytes(template)
        written = ago(24 * 30 + number).timestamp()
        os.utime(path, (written, written))
    today = folder.session(ago(1))
    looked = []
    opened = Path.open

    def looked_at(path: Path, *words: Any) -> Any:
        looked.append(path)
        return opened(path, *words)

    monkeypatch.setattr(Path, "open", looked_at)
    assert folder.resumed(now()) == today
    assert len(set(looked)) <= MOST_NEAR + 2 * MOST_FAR


def test_no_folder_and_no_journal(tmp_path: Path):
    assert unfinished(tmp_path / "none", now()) is None
    assert newest(tmp_path, now()) is None


def test_the_newest_to_look_at_may_be_closed(folder: Folder):
    folder.session(ago(24 * 9), closed=True)
    today = folder.session(ago(2), closed=True)
    assert newest(folder.path, now()) == today
    assert newest(folder.path, now(at=NOW + timedelta(days=3))) == today


def test_the_screen_is_started_with_what_goes_on(folder: Folder, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setenv("FIELDTUI_JOURNALS", str(folder.path))
    real = SystemClock().now()
    today = folder.session(real.at - timedelta(hours=1))
    folder.session(real.at - timedelta(hours=1), closed=True)
    assert choose_journal(None, "hill", new=False) == (today, "")
    assert journal_to_watch(None) == today
    assert choose_journal(None, "hill", new=True)[0] not in (today, None)
    folder.add(today, real.at, CLOSED)
    assert not choose_journal(None, "hill", new=False)[0].exists()
    future = folder.session(real.at + timedelta(days=400))
    path, words = choose_journal(None, "hill", new=False)
    assert path == future
    assert "--new" in words
