"""What was new in a session, as its report and the report over all sessions count it."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.conftest import Run
from tests.history.outings import Outing


@pytest.fixture
def journals(environment: dict[str, str]) -> Path:
    """Two outings: the second has a known station on another band, a new one, and a new square."""
    folder = Path(environment["HOME"]) / ".local" / "share" / "fieldtui" / "journals"
    folder.mkdir(parents=True)
    with Outing(folder / "2026-06-14-first.jsonl") as first:
        first.contact("KD7QSV", hertz=146_520_000, locator="CN94hb")
        first.contact("W0QSL", hertz=146_520_000)
    with Outing(folder / "2026-06-21-second.jsonl", day=7) as second:
        second.contact("KD7QSV/P", hertz=446_000_000, locator="CN95aa")
        second.contact("VE7QRZ", hertz=446_000_000, locator="CN94aa")
        second.contact("W0QSL", hertz=146_520_000)
    return folder


def test_a_report_tells_what_was_new_beside_earlier_journals(run: Run, journals: Path) -> None:
    told = run("report", journals / "2026-06-21-second.jsonl", "--text").out
    assert "1 new station, 1 new square, 1 station new on a band" in " ".join(told.split())
    first = run("report", journals / "2026-06-14-first.jsonl", "--text").out
    assert "2 new stations, 1 new square" in " ".join(first.split())


def test_the_report_over_all_tells_it_of_each_session(run: Run, journals: Path) -> None:
    told = " ".join(run("report", "--all", "--text", COLUMNS="200").out.split())
    assert "Squares 2" in told
    assert "On bands 4" in told
    assert "2 new stations, 1 new square" in told
    assert "1 new station, 1 new square, 1 station new on a band" in told


def test_away_from_the_journals_nothing_is_called_new(run: Run, journals: Path, tmp_path: Path) -> None:
    """Where earlier journals are not looked at, nobody can tell."""
    copy = tmp_path / "copy.jsonl"
    copy.write_bytes((journals / "2026-06-21-second.jsonl").read_bytes())
    assert "new station" not in run("report", copy, "--text").out
