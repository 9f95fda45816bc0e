"""Programs killed with SIGKILL while contacts are typed: what was told as kept is kept, and the next one starts."""

from __future__ import annotations

import json
import subprocess
import sys
from collections import Counter
from pathlib import Path
from typing import Any

import pytest

from fieldtui.journal.events import ContactLogged
from fieldtui.journal.file import Journal
from fieldtui.journal.verify import verify
from tests.journal.making import read

# One process that stays alone with its one thread forks a program for every round, so that a round costs
# milliseconds and not the start of an interpreter.
KILLER = """
import json, os, random, signal, sys, threading, time
from pathlib import Path
from fieldtui.journal.events import BatterySampled, ContactLogged, NoteWritten
from fieldtui.journal.keeper import Keeper
from fieldtui.journal.stamp import SystemClock
from fieldtui.journal.verify import verify

path, rounds, seed = Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3])
random.seed(seed)


def operate(turn, pipe):
    keeper = Keeper(path, SystemClock(), on_batch=lambda batch: None, on_trouble=lambda words: None,
                    on_read=lambda: os.write(pipe, b"ready\\n"))
    keeper.start()
    number = 0
    while True:
        told = threading.Semaphore(0)
        burst = random.randint(1, 4)
        for _ in range(burst):
            name = f"r{turn:03}n{number:05}"
            def tell(name=name):
                os.write(pipe, name.encode() + b"\\n")
                told.release()
            note = NoteWritten(text="x" * random.randint(0, 2000))
            keeper.submit(BatterySampled(feed="shunt", volts=13.1))
            keeper.submit(note, ContactLogged(id=name, call="KD7QSV"), told=tell)
            number += 1
        for _ in range(burst):
            told.acquire()


for turn in range(rounds):
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            os.close(reading)
            operate(turn, writing)
        finally:
            os._exit(1)
    os.close(writing)
    pipe = os.fdopen(reading, "rb")
    ready = pipe.readline().strip() == b"ready"
    time.sleep(random.uniform(0.0, 0.04))
    os.kill(child, signal.SIGKILL)
    _, status = os.waitpid(child, 0)
    told = [line.decode().strip() for line in pipe if line.endswith(b"\\n")]
    verdict = verify(path)
    print(json.dumps({"told": told, "ready": ready, "signal": os.WTERMSIG(status),
                      "damage": [str(place) for place in verdict.damage]}), flush=True)
"""


def _killed(path: Path, rounds: int, seed: int) -> list[dict[str, Any]]:
    done = subprocess.run(
        [sys.executable, "-c", KILLER, str(path), str(rounds), str(seed)],
        capture_output=True,
        text=True,
        check=True,
    )
    return [json.loads(line) for line in done.stdout.splitlines()]


def _check(path: Path, rounds: int, seed: int) -> None:
    reports = _killed(path, rounds, seed)
    assert len(reports) == rounds
    assert all(report["ready"] for report in reports), "every start reads the journal and works at once"
    assert all(report["signal"] == 9 for report in reports)
    assert all(report["damage"] == [] for report in reports), "at most a torn tail"
    with Journal(path) as journal:
        journal.recover()
    assert verify(path).sound
    ids = [event.id for event in read(path).events if isinstance(event, ContactLogged)]
    told = [name for report in reports for name in report["told"]]
    assert len(told) > rounds
    assert set(told) <= set(ids), "what was told as kept is in the file"
    assert [*Counter(ids).values()] == [1] * len(ids), "and once"
    assert ids == sorted(ids), "in the order in which it was typed"


def test_forty_kills_lose_nothing_that_was_told(tmp_path: Path) -> None:
    _check(tmp_path / "hill.jsonl", 40, seed=1)


@pytest.mark.slow
@pytest.mark.parametrize("seed", [2, 3])
def test_two_hundred_and_fifty_kills_lose_nothing_that_was_told(tmp_path: Path, seed: int) -> None:
    _check(tmp_path / "hill.jsonl", 250, seed)
