"""`fieldtui demo`: real frames on a real line, marked as invented everywhere, and tidied up afterwards."""

from __future__ import annotations

import signal
import subprocess
from pathlib import Path

import pytest

from fieldtui.journal.events import BatterySampled, ContactLogged, FeedChanged, SessionOpened
from fieldtui.journal.verify import verify
from tests.support.journals import events_of, of_kind
from tests.support.terminal import Terminal, fieldtui


def test_the_demo_plays_and_can_be_kept(tmp_path: Path):
    """Volts from a real port, contacts in the list, DEMO in both places; it leaves by itself; the journal stays."""
    kept = tmp_path / "kept"
    command = fieldtui(
        "demo", "--pace", "60", "--seconds", "6", "--start", "2026-06-14T16:50", "--keep", kept
    )
    with Terminal(command, columns=80, rows=24, environment={"TMPDIR": str(tmp_path)}) as show:
        show.wait_for("DEMO")
        show.wait_for("V resting")
        show.wait_for("Rosa, Larkspur Flat")
        assert "DEMO" in show.text
        assert show.wait_end() == 0
        assert show.restored
        show.wait_after_end("journal: ")
    (journal,) = kept.glob("*.jsonl")
    assert journal.name == "2026-06-14-1650-larkspur-ridge.jsonl"
    (opened,) = of_kind(journal, SessionOpened)
    assert opened.demo
    assert opened.station_call == "W7QRV"
    assert of_kind(journal, ContactLogged)[0].call == "KD7QSV"
    assert any(sample.volts and 10 < sample.volts < 15 for sample in of_kind(journal, BatterySampled))
    assert "reading" in [event.condition for event in of_kind(journal, FeedChanged)]
    assert verify(journal).sound
    assert [path.name for path in tmp_path.iterdir()] == ["kept"], "the stage is gone"
    told = subprocess.run(fieldtui("show", journal), capture_output=True, text=True, check=True).stdout
    assert "DEMO" in told


@pytest.mark.parametrize("size", [(60, 20), (120, 40)], ids=["60x20", "120x40"])
def test_demo_stands_on_every_size(size: tuple[int, int], tmp_path: Path):
    """Nobody mistakes invented contacts for real ones; and a person may type along."""
    columns, rows = size
    with Terminal(
        fieldtui("demo", "--pace", "30"), columns=columns, rows=rows, environment={"TMPDIR": str(tmp_path)}
    ) as show:
        show.wait_for("DEMO")
        show.wait_for("resting")
        show.send("ve3qrx 59 57 Jo\r")
        show.wait_for("VE3QRX    59 57")
        assert "DEMO" in show.text
        show.kill(signal.SIGTERM)
        assert show.wait_end() == 0
        assert show.restored
    assert list(tmp_path.iterdir()) == [], "without --keep nothing is left"


def test_demo_leaves_no_journal_in_the_users_folder(tmp_path: Path):
    """It is not a session of the operator's: the next `fieldtui` does not resume it."""
    folder = tmp_path / "journals"
    environment = {"FIELDTUI_JOURNALS": str(folder), "TMPDIR": str(tmp_path)}
    with Terminal(fieldtui("demo", "--seconds", "1", "--pace", "10"), environment=environment) as show:
        show.wait_for("DEMO")
        assert show.wait_end() == 0
    assert not folder.exists()


def test_a_kept_demo_is_a_journal_like_any_other(tmp_path: Path):
    """It can be opened with `session`, and still says what it is."""
    with Terminal(fieldtui("demo", "--seconds", "3", "--pace", "60", "--keep", tmp_path)) as show:
        show.wait_for("V resting")
        assert show.wait_end() == 0
    (journal,) = tmp_path.glob("*.jsonl")
    with Terminal(fieldtui("session", "--journal", journal)) as hill:
        hill.wait_for("resumed")
        hill.wait_for("DEMO")
    assert events_of(journal)
