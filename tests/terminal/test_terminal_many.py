"""Two screens and `fieldtui add` at once on one journal: every entry is there, and everybody sees it."""

from __future__ import annotations

import os
import subprocess
import threading
from collections.abc import Callable
from itertools import islice
from pathlib import Path

import pytest

from fieldtui.journal.events import ContactLogged
from fieldtui.journal.verify import verify
from tests.support.calls import invented_calls
from tests.support.journals import of_kind
from tests.support.terminal import Terminal, fieldtui

AHEAD = 5
"""Lines that a screen is given before the last of them is waited for."""


def type_all(hill: Terminal, calls: list[str]) -> None:
    """Type contacts, five at a time."""
    for start in range(0, len(calls), AHEAD):
        some = calls[start : start + AHEAD]
        hill.send("".join(f"{call.lower()} 59 57\r" for call in some))
        hill.wait_for(f"logged {some[-1]}")


def add_all(journal: Path, calls: list[str]) -> None:
    """One process for each contact."""
    for call in calls:
        subprocess.run(fieldtui("add", journal, call, "55 53"), check=True, capture_output=True)


def all_at_once(tmp_path: Path, each: int) -> None:
    """Each of three writers logs so many contacts."""
    journal, calls = tmp_path / "j.jsonl", list(islice(invented_calls(), 3 * each))
    first, second, third = calls[:each], calls[each : 2 * each], calls[2 * each :]
    failures: list[BaseException] = []

    def guarded(work: Callable[[], None]) -> None:
        try:
            work()
        except BaseException as error:
            failures.append(error)

    # A channel, because the line that names it also counts the contacts.
    subprocess.run(fieldtui("add", journal, "146.52 fm"), check=True, capture_output=True)
    command = fieldtui("session", "--journal", journal, "--quiet")
    with Terminal(command, columns=100) as hill, Terminal(command, columns=100) as van:
        for screen in (hill, van):
            screen.wait_for("resumed")
        jobs = [lambda: type_all(hill, first), lambda: type_all(van, second), lambda: add_all(journal, third)]
        threads = [threading.Thread(target=guarded, args=(job,)) for job in jobs]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert failures == []
        for screen in (hill, van):
            screen.wait_for(f"{len(calls)} contacts")
    there = [contact.call for contact in of_kind(journal, ContactLogged)]
    assert sorted(there) == sorted(calls)
    for own in (first, second, third):
        assert [call for call in there if call in set(own)] == own, "each writer's entries stay in order"
    verdict = verify(journal)
    assert verdict.sound
    checked = subprocess.run(
        fieldtui("verify", journal), check=False, capture_output=True, text=True, env=dict(os.environ)
    )
    assert checked.returncode == 0, checked.stdout


def test_forty_entries_each(tmp_path: Path):
    """A hundred and twenty contacts by three programs."""
    all_at_once(tmp_path, 40)


@pytest.mark.slow
def test_five_hundred_entries_each(tmp_path: Path):
    """Fifteen hundred contacts by three programs."""
    all_at_once(tmp_path, 500)
