"""SIGKILL in the middle of typing: what was confirmed is in the journal, and the next start works at once."""

from __future__ import annotations

import re
import signal
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from random import Random

import pytest

from fieldtui.journal.events import ContactLogged
from fieldtui.journal.verify import verify
from tests.support.calls import invented_calls
from tests.support.journals import of_kind
from tests.support.terminal import Terminal, fieldtui

LANES = 2
"""Journals that are tortured at the same time."""


def confirmed_on(screen: str) -> set[str]:
    """Calls that this screen says are logged, or lists."""
    listed = re.findall(r"^ *\d+[* ] \d\d:\d\d ([A-Z]+\dQ[R-U][A-Z]) ", screen, re.MULTILINE)
    return {*listed, *re.findall(r"^logged ([A-Z]+\dQ[R-U][A-Z])", screen, re.MULTILINE)}


def one_round(journal: Path, calls: Iterator[str], dice: Random) -> set[str]:
    """Type contacts until killed at a moment nobody chose; returns what had been confirmed."""
    confirmed: set[str] = set()
    with Terminal(fieldtui("session", "--journal", journal, "--quiet")) as hill:
        hill.wait_for("F1 help")
        hill.wait_for(lambda: "resumed" in hill.text or "no contact yet" in hill.text)
        for _ in range(dice.randint(1, 5)):
            call = next(calls)
            hill.send(f"{call.lower()} 59 57 Rosa, Larkspur Flat\r")
            hill.wait_for(lambda call=call: call in confirmed_on(hill.text))
            confirmed |= confirmed_on(hill.text)
        hill.send("".join(f"{next(calls).lower()} 59 57 Ada\r" for _ in range(5)))
        time.sleep(dice.uniform(0.0, 0.06))
        hill.kill(signal.SIGKILL)
        assert hill.wait_end() == -signal.SIGKILL
        hill.drain()
        return confirmed | confirmed_on(hill.text)


def lane(journal: Path, rounds: int, seed: int, failures: list[str]) -> None:
    """Rounds on one journal, one after the other; after each, everything ever confirmed is there."""
    dice, calls, confirmed = Random(seed), invented_calls(), set[str]()
    for number in range(rounds):
        confirmed |= one_round(journal, calls, dice)
        verdict = verify(journal)
        there = [contact.call for contact in of_kind(journal, ContactLogged)]
        if verdict.damage:
            failures.append(f"round {number}: {verdict.damage}")
        if missing := confirmed - set(there):
            failures.append(f"round {number}: confirmed and missing: {missing}")
        if len(there) != len(set(there)):
            failures.append(f"round {number}: a contact is there twice")
    with Terminal(fieldtui("session", "--journal", journal)) as hill:
        hill.wait_for("resumed")
        hill.wait_for(f"{len(there)} contacts")
        hill.kill(signal.SIGTERM)
        hill.wait_end()
    if not verify(journal).sound:
        failures.append("the last start left the journal unsound")


def torture(tmp_path: Path, rounds: int) -> None:
    """Both lanes at once."""
    failures: list[str] = []
    ended: list[int] = []

    def run(seed: int) -> None:
        lane(tmp_path / f"{seed}.jsonl", rounds // LANES, seed, failures)
        ended.append(seed)

    threads = [threading.Thread(target=run, args=(seed,)) for seed in range(LANES)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failures == []
    assert sorted(ended) == list(range(LANES)), "a lane broke off: see the captured traceback"


def test_twenty_kills_lose_no_confirmed_contact(tmp_path: Path):
    """At most a torn tail, which the next start sets aside."""
    torture(tmp_path, 20)


@pytest.mark.slow
def test_two_hundred_kills_lose_no_confirmed_contact(tmp_path: Path):
    """The same, ten times as often."""
    torture(tmp_path, 200)
