"""Several programs write one journal at once."""

from __future__ import annotations

import subprocess
import sys
import time
from collections import Counter
from pathlib import Path

import pytest

from fieldtui.journal.events import ContactLogged
from fieldtui.journal.file import Journal
from fieldtui.journal.verify import verify
from tests.journal.making import Follower, read

WRITE = """
import sys
from pathlib import Path
from fieldtui.journal.file import Journal
from tests.journal.making import Follower, contact, draft

path, start, count = Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3])
seen = Follower()
with Journal(path) as journal:
    for number in range(start, start + count):
        seen.take(journal.append([draft(contact(number), number)]))
        if number % 10 == 0:
            journal.sync()
    journal.sync()
assert seen.restarts == 0
assert seen.seqs == list(range(1, len(seen.seqs) + 1)), "each line was seen once, in order"
"""


def _write_from_three(path: Path, count: int) -> None:
    writers = [
        subprocess.Popen([sys.executable, "-c", WRITE, str(path), str(start), str(count)])
        for start in (0, 10_000, 20_000)
    ]
    Journal(path).close()
    with Journal(path, writable=False) as journal:
        seen = Follower()
        while any(writer.poll() is None for writer in writers):
            seen.take(journal.follow())
            time.sleep(0.001)
        seen.take(journal.follow())
        assert seen.seqs == list(range(1, 3 * count + 1))
        assert (seen.restarts, journal.damage) == (0, [])
    assert [writer.returncode for writer in writers] == [0, 0, 0]
    ids = Counter(event.id for event in read(path).events if isinstance(event, ContactLogged))
    assert ids == {f"c{start + number:04}": 1 for start in (0, 10_000, 20_000) for number in range(count)}
    verdict = verify(path)
    assert (verdict.sound, verdict.lines) == (True, 3 * count)


def test_three_programs_write_at_once(tmp_path: Path) -> None:
    """900 lines: the chain is sound, all are there once, every program and a follower see all in one order."""
    _write_from_three(tmp_path / "hill.jsonl", 300)


@pytest.mark.slow
def test_three_programs_write_for_long(tmp_path: Path) -> None:
    """The same with 6000 lines."""
    _write_from_three(tmp_path / "hill.jsonl", 2000)
